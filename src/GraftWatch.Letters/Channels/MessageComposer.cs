using System.Buffers;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Unicode;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Letters.Channels;

/// <summary>Seals a round for a channel other than mail: the exact bytes of the body, under a slot of its own.</summary>
public static class MessageComposer
{
    /// <summary>Longest Matrix body; an event with all around it may have 65,536 bytes.</summary>
    private const int MatrixLimit = 30_000;

    /// <summary>Composes and seals.</summary>
    /// <param name="round">What to say; for an urgent note only what is new.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="target">Where to.</param>
    /// <param name="request">Which letter.</param>
    public static SealedLetter Compose(Round round, Grower grower, ChannelTarget target, LetterRequest request)
    {
        ArgumentNullException.ThrowIfNull(round);
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(request);
        var slot = new LetterSlot(grower.Name, round.Date, request.Kind) { Ordinal = request.Ordinal, Channel = target.Name };
        string id = SlotIds.Of(slot, target.Name);
        byte[] body = target switch
        {
            ChannelTarget.SignedPost or ChannelTarget.Mqtt => RoundMessage.Json(round, slot, id, request),
            ChannelTarget.TextPost text => Encoding.UTF8.GetBytes(ShortText.Of(round, request.Kind, text.LimitBytes)),
            ChannelTarget.Matrix => MatrixEvent(round, request),
            _ => throw new System.Diagnostics.UnreachableException(),
        };
        return new SealedLetter(slot, request.Number, id, target.Name, SubjectLine.For(round, request.Kind), body, request.Now);
    }

    private static byte[] MatrixEvent(Round round, LetterRequest request)
    {
        var bytes = new ArrayBufferWriter<byte>();
        using (var json = new Utf8JsonWriter(bytes, new JsonWriterOptions { Encoder = JavaScriptEncoder.Create(UnicodeRanges.All) }))
        {
            json.WriteStartObject();
            json.WriteString("msgtype", "m.text");
            json.WriteString("body", ShortText.Of(round, request.Kind, MatrixLimit));
            json.WriteEndObject();
        }

        return bytes.WrittenSpan.ToArray();
    }
}
