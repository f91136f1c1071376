namespace GraftWatch.Records.Engine;

/// <summary>A file beside the store that takes up room until a receipt needs it.</summary>
internal sealed class Reserve(string path, long bytes)
{
    /// <summary>Whether the room is there to be given up.</summary>
    public bool IsFilled => bytes > 0 && File.Exists(path);

    /// <summary>Takes the room; on a disk that lacks it, does without.</summary>
    public void Fill()
    {
        if (bytes <= 0 || (File.Exists(path) && new FileInfo(path).Length == bytes))
        {
            return;
        }

        try
        {
            // The system sets the blocks aside at once and writes nothing.
            using var file = new FileStream(path, new FileStreamOptions { Mode = FileMode.Create, Access = FileAccess.Write, PreallocationSize = bytes });
            file.SetLength(bytes);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            Release();
        }
    }

    /// <summary>Gives the room up; false when there is none.</summary>
    public bool Release()
    {
        try
        {
            bool had = File.Exists(path);
            File.Delete(path);
            return had;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }
}
