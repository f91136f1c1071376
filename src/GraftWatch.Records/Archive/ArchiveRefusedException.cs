namespace GraftWatch.Records.Archive;

/// <summary>An archive cannot be imported; the store is as it was, and the message says why.</summary>
public sealed class ArchiveRefusedException(string message, Exception? inner = null) : Exception(message, inner);
