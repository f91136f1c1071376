namespace GraftWatch.Aftercare.Advising;

/// <summary>Makes a round: climate at each union, healing, hazards, remedies, dated work, grouped into advice.</summary>
public static class RoundMaker
{
    /// <summary>Computes one round. Never fails because of one graft: what cannot be computed is listed as not checked.</summary>
    public static Round Make(RoundRequest request) => throw new NotImplementedException();
}
