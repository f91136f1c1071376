using System.Text.Json.Serialization;

namespace GraftWatch.Records.Engine;

/// <summary>Small lists inside a column.</summary>
[JsonSerializable(typeof(string[]))]
[JsonSerializable(typeof(double[]))]
internal sealed partial class ColumnJson : JsonSerializerContext;
