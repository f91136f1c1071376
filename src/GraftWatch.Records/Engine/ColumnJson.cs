using System.Text.Json.Serialization;

namespace GraftWatch.Records.Engine;

/// <summary>Small lists inside a column.</summary>
[JsonSerializable(typeof(string[]))]
internal sealed partial class ColumnJson : JsonSerializerContext;
