namespace GraftWatch.Microclimate.Risk;

/// <summary>Which side of a threshold is the event.</summary>
public enum EventSide
{
    /// <summary>At or above the threshold: heat, wind, drying.</summary>
    AtOrAbove,

    /// <summary>At or below the threshold: frost.</summary>
    AtOrBelow,
}
