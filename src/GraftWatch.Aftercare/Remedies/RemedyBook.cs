using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Unions;

namespace GraftWatch.Aftercare.Remedies;

/// <summary>Every piece of work that could help a union against a hazard; whether it does is computed, not believed.</summary>
internal sealed class RemedyBook
{
    private const string Bare = "none";

    private readonly Handbook book;

    /// <summary>Opens the book.</summary>
    internal RemedyBook(Handbook book) => this.book = book;

    /// <summary>The candidates against one hazard.</summary>
    internal IEnumerable<Remedy> Candidates(UnionCase union, HazardOutcome outcome) => outcome.Hazard switch
    {
        Hazard.Heat => [.. Venting(union), .. Sleeves(union), .. Cloths(union), .. Whitewash(union)],
        Hazard.Sun => Cloths(union),
        Hazard.Drying when outcome.Part == "unsealed" => Sealing(union),
        Hazard.Drying when outcome.Part != "shoot" => [.. Sleeves(union), .. Films(union), .. Cloths(union)],
        Hazard.Sap => Relief(union),
        Hazard.Wind when outcome.Part == "shoot" => Supports(union),
        Hazard.Frost => [.. Closing(union), .. FrostCovers(union)],
        Hazard.Wet when outcome.Part == "steam" => [.. Venting(union), .. Sleeves(union), .. Cloths(union)],
        _ => [],
    };

    private IEnumerable<Remedy> Sleeves(UnionCase union)
    {
        bool clear = union.Exposure.Covers.Count > 0 && union.LightFrac > 0.4;
        if (union.Cover != Bare && !clear)
        {
            yield break;
        }

        foreach (CoverMaterial cover in book.Covers.Values)
        {
            bool sleeve = cover.Layers.Count > 0 && cover.FrostGainK <= 0
                && cover.Layers.All(layer => layer.ShadeFrac <= 0 && layer.GapResistanceM2KPerW > 0 && layer.SolarTransmittanceFrac < 0.5);
            if (sleeve && (!cover.WetInside || !union.InLeaf))
            {
                yield return Cover(union, cover, WorkAction.Shade, union.Exposure.Covers);
            }
        }
    }

    private IEnumerable<Remedy> Cloths(UnionCase union)
    {
        if (union.Exposure.Covers.Any(layer => layer.ShadeFrac > 0))
        {
            yield break;
        }

        foreach (CoverMaterial cover in book.Covers.Values)
        {
            if (cover.FrostGainK <= 0 && cover.Layers.Count > 0 && cover.Layers.All(layer => layer.ShadeFrac > 0))
            {
                yield return Cover(union, cover, WorkAction.Shade, union.Exposure.Covers);
            }
        }
    }

    private IEnumerable<Remedy> Films(UnionCase union)
    {
        if (union.Cover == Bare && union.InLeaf && book.Covers.TryGetValue("film", out CoverMaterial? film))
        {
            yield return Cover(union, film, WorkAction.CloseCover, []);
        }
    }

    private IEnumerable<Remedy> Whitewash(UnionCase union)
    {
        if (union.Stage >= Stage.Ripen && union.Cover == Bare && book.Covers.TryGetValue("whitewash", out CoverMaterial? paint))
        {
            yield return Cover(union, paint, WorkAction.Whitewash, []);
        }
    }

    private IEnumerable<Remedy> Venting(UnionCase union)
    {
        if (Wraps(union) && !union.Exposure.Vented && union.OpenHours is null)
        {
            (int from, int to) = OpenHours(union);
            yield return Work(WorkAction.Vent, union with { OpenHours = (from, to) }) with
            {
                With = $"from {from:00}:00 to {to:00}:00 each day",
            };
        }
    }

    // Cloth hangs open and paint cannot be opened: only what has a gap of air under it wraps a union.
    private static bool Wraps(UnionCase union) => union.Exposure.Covers.Any(layer => layer.ShadeFrac <= 0 && layer.GapResistanceM2KPerW > 0);

    private IEnumerable<Remedy> Closing(UnionCase union)
    {
        if (Wraps(union) && union.Exposure.Vented)
        {
            (int from, int to) = OpenHours(union);
            UnionCase after = union with { OpenHours = (from, to), Exposure = union.Exposure with { Vented = false } };
            yield return Work(WorkAction.CloseCover, after) with { With = $"from {to:00}:00 to {from:00}:00, open by day" };
        }
    }

    private IEnumerable<Remedy> FrostCovers(UnionCase union)
    {
        foreach (CoverMaterial cover in book.Covers.Values)
        {
            if (cover.FrostGainK > union.FrostGainK)
            {
                // On for the night only: the days' exposure stays as it is.
                yield return Work(WorkAction.FrostCover, union with { FrostGainK = cover.FrostGainK }) with
                {
                    Material = cover.Key,
                    With = "with " + cover.Name,
                    Minutes = cover.FitMinutes,
                    Bring = [cover.Name, .. Need(WorkAction.FrostCover).Bring.Where(thing => thing != "fleece")],
                };
            }
        }
    }

    private IEnumerable<Remedy> Sealing(UnionCase union)
    {
        double pass = book.Seals.TryGetValue("wax", out SealMaterial? wax) ? wax.PassFrac : 0.05;
        yield return Work(WorkAction.Reseal, union with { SealPassFrac = pass, Exposure = union.Exposure with { SealPassFrac = pass } });
    }

    private IEnumerable<Remedy> Relief(UnionCase union)
    {
        if (union.Species.Bleeding >= BleedClass.Moderate && union.SapLeftFrac >= 1)
        {
            double left = book.Thresholds.Number("sap.when.relief_left", union.Subject);
            yield return Work(WorkAction.Relieve, union with { SapLeftFrac = left });
        }
    }

    private IEnumerable<Remedy> Supports(UnionCase union)
    {
        if (union.Support == ShootSupport.Free)
        {
            yield return Work(WorkAction.TieIn, union with { Support = ShootSupport.Tied });
        }

        if (union.Support != ShootSupport.Staked)
        {
            yield return Work(WorkAction.Stake, union with { Support = ShootSupport.Staked });
        }

        double shortened = book.Thresholds.Number("wind.shoot.pinch", union.Subject);
        if (union.ShootM > shortened)
        {
            yield return Work(WorkAction.Pinch, union with { ShootM = shortened });
        }
    }

    private Remedy Cover(UnionCase union, CoverMaterial cover, WorkAction action, IReadOnlyList<CoverLayer> inner)
    {
        UnionCase after = union with
        {
            Cover = cover.Key,
            CoverWet = cover.WetInside || (inner.Count > 0 && union.CoverWet),
            Exposure = union.Exposure with { Covers = [.. cover.Layers, .. inner] },
        };
        return Work(action, after) with
        {
            Material = cover.Key,
            With = action == WorkAction.Whitewash ? string.Empty : "with " + cover.Name,
            Minutes = cover.FitMinutes,
            Bring = action == WorkAction.Whitewash ? Need(action).Bring : [cover.Name],
        };
    }

    private (int From, int To) OpenHours(UnionCase union)
    {
        Subject subject = union.Subject;
        return ((int)book.Thresholds.Number("advice.open_from", subject), (int)book.Thresholds.Number("advice.close_at", subject));
    }

    private Remedy Work(WorkAction action, UnionCase after)
    {
        WorkNeed need = Need(action);
        return new Remedy { Action = action, Minutes = need.Minutes, Bring = need.Bring, After = after };
    }

    private WorkNeed Need(WorkAction action) =>
        book.Work.TryGetValue(action.Key(), out WorkNeed? need) ? need : new WorkNeed(action.Key(), 1, []);
}
