namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>What a person answers.</summary>
internal enum Answer
{
    /// <summary>Ready; or, after a doubt, once more.</summary>
    Go,

    /// <summary>It is as it was asked for: keep it.</summary>
    Keep,

    /// <summary>Leave this step out.</summary>
    LeaveOut,

    /// <summary>Go away now and go on another time.</summary>
    Leave,
}

/// <summary>The person at the machine, as the guide sees him.</summary>
internal interface ISurveyPerson
{
    /// <summary>Tells a paragraph.</summary>
    void Tell(string text);

    /// <summary>Shows how a step comes along; often, one overwriting the other.</summary>
    void Show(string progress);

    /// <summary>Asks that the cautions were read and kept.</summary>
    ValueTask<bool> PromisesAsync(IReadOnlyList<string> cautions, CancellationToken cancellation);

    /// <summary>Asks for a step to be made ready, or what to do after a doubt.</summary>
    /// <param name="step">Which.</param>
    /// <param name="text">What to do, or what is doubtful.</param>
    /// <param name="isDoubt">A step was tried, and <see cref="Answer.Keep"/> is allowed where <paramref name="mayKeep"/>.</param>
    ValueTask<Answer> AskAsync(
        SurveyStep step,
        string text,
        bool isDoubt,
        bool mayKeep,
        CancellationToken cancellation
    );
}
