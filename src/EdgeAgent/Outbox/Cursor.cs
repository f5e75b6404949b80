namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>How far the outbox has come.</summary>
/// <param name="Done">Events up to this number are dealt with: acknowledged by the broker, rejected, or lost.</param>
/// <param name="Untold">Lost events of which nobody has been told yet.</param>
internal readonly record struct Cursor(long Done, LostRange Untold);
