using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Unions;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>All that decides what the weather does to a union. Grafts with equal cases share every judgement.</summary>
internal sealed record UnionCase
{
    /// <summary>The place and its hours.</summary>
    internal required PlaceClimate Climate { get; init; }

    /// <summary>What the handbook says of the species.</summary>
    internal required SpeciesTraits Species { get; init; }

    /// <summary>How the union was made.</summary>
    internal required Technique Technique { get; init; }

    /// <summary>How far it has healed.</summary>
    internal required Stage Stage { get; init; }

    /// <summary>How it meets the weather.</summary>
    internal required UnionExposure Exposure { get; init; }

    /// <summary>Key of the cover.</summary>
    internal required string Cover { get; init; }

    /// <summary>Whether the cover holds moisture in while closed.</summary>
    internal bool CoverWet { get; init; }

    /// <summary>Local hours between which a closed cover is opened every day; null when it stays as it is.</summary>
    internal (int From, int To)? OpenHours { get; init; }

    /// <summary>Key of the tie.</summary>
    internal required string Tie { get; init; }

    /// <summary>Share of bare water loss the seal passes. [-]</summary>
    internal required double SealPassFrac { get; init; }

    /// <summary>Longest shoot. [m]; 0 while there is none.</summary>
    internal double ShootM { get; init; }

    /// <summary>BBCH code of the buds; null when not known.</summary>
    internal int? Bbch { get; init; }

    /// <summary>Whether leaves are out, or the scion was grafted in leaf.</summary>
    internal bool InLeaf { get; init; }

    /// <summary>How the shoot is held.</summary>
    internal ShootSupport Support { get; init; }

    /// <summary>Strength of the union. [-], 0 to 1.</summary>
    internal double StrengthFrac { get; init; }

    /// <summary>Whether bark or leaves were under a cover until a few days ago.</summary>
    internal bool FreshlyBared { get; init; }

    /// <summary>Which part of its year the wood is in.</summary>
    internal WoodSeason Season { get; init; }

    /// <summary>Whether the union is young enough for a cold stall to matter.</summary>
    internal bool CanStall { get; init; }

    /// <summary>Share of full leaf on the stock. [-]</summary>
    internal double StockLeafFrac { get; init; }

    /// <summary>Share of the sap pressure that relief cuts leave. [-]</summary>
    internal double SapLeftFrac { get; init; } = 1;

    /// <summary>What a frost cover over the shoot adds on a cold night. [K]</summary>
    internal double FrostGainK { get; init; }

    /// <summary>What a threshold is looked up for.</summary>
    internal Subject Subject => new(Species.Key, Technique, Stage, Cover, Tie, Climate.Place.Name);

    /// <summary>The climate at the union.</summary>
    internal UnionHours Hours =>
        OpenHours is { } open ? Climate.At(Exposure, open.From, open.To) : Climate.At(Exposure);

    /// <summary>Share of sunlight that shade cloths over it and covers around it let through. [-]</summary>
    internal double LightFrac
    {
        get
        {
            double through = 1;
            foreach (CoverLayer layer in Exposure.Covers)
            {
                through *= layer.ShadeFrac > 0 ? 1 - layer.ShadeFrac : layer.SolarTransmittanceFrac;
            }

            return through;
        }
    }

    /// <summary>Share of water loss that closed covers let through. [-]</summary>
    internal double VapourPassFrac
    {
        get
        {
            double through = 1;
            foreach (CoverLayer layer in Exposure.Covers)
            {
                through *= Exposure.Vented || OpenHours is not null ? 1 : layer.VapourPassFrac;
            }

            return through;
        }
    }

    /// <inheritdoc/>
    public bool Equals(UnionCase? other) =>
        ReferenceEquals(this, other)
        || (other is not null
            && ReferenceEquals(Climate, other.Climate) && ReferenceEquals(Species, other.Species)
            && Technique == other.Technique && Stage == other.Stage && Exposure.Equals(other.Exposure)
            && Cover == other.Cover && CoverWet == other.CoverWet && OpenHours == other.OpenHours && Tie == other.Tie
            && SealPassFrac.Equals(other.SealPassFrac) && ShootM.Equals(other.ShootM) && Bbch == other.Bbch
            && InLeaf == other.InLeaf && Support == other.Support && StrengthFrac.Equals(other.StrengthFrac)
            && FreshlyBared == other.FreshlyBared && Season == other.Season && CanStall == other.CanStall
            && StockLeafFrac.Equals(other.StockLeafFrac) && SapLeftFrac.Equals(other.SapLeftFrac)
            && FrostGainK.Equals(other.FrostGainK));

    /// <inheritdoc/>
    public override int GetHashCode() =>
        HashCode.Combine(Species.Key, Technique, Stage, Exposure, Cover, ShootM, Support, HashCode.Combine(Bbch, Season, OpenHours, FreshlyBared));
}

/// <summary>Which part of its year the scion's wood is in, as frost sees it.</summary>
internal enum WoodSeason
{
    /// <summary>Grafted this season, or in growth.</summary>
    Growing = 0,

    /// <summary>First autumn: wood of this year that has not hardened.</summary>
    FirstAutumn,

    /// <summary>Winter rest.</summary>
    Rest,
}
