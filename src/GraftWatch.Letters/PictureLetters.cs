using GraftWatch.Letters.Picture;

namespace GraftWatch.Letters;

/// <summary>The drawn letters that pictures are labelled with.</summary>
public static class PictureLetters
{
    /// <summary>How many there are, read from the program itself.</summary>
    public static int Count() => Lettering.Set.Count;
}
