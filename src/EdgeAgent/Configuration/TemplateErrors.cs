namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>What is wrong with the items of a list: a mistake in a template is one mistake, however many items are made of it.</summary>
internal sealed class TemplateErrors
{
    private readonly List<SettingError> _errors = [];
    private readonly Dictionary<(string? Template, string Key, string Value, string Allowed), int> _places =
    [];

    /// <summary>Each mistake once: at the first item that has it, with the number of the others.</summary>
    public IReadOnlyList<SettingError> All => _errors;

    /// <param name="errors">Those of one item.</param>
    /// <param name="path">The item's.</param>
    public void Take(IReadOnlyList<SettingError> errors, string path)
    {
        foreach (SettingError error in errors)
        {
            (string?, string, string, string) same = (
                error.Template,
                error.Key[Math.Min(path.Length, error.Key.Length)..],
                error.Value,
                error.Allowed
            );
            if (error.Template is not null && !_places.TryAdd(same, _errors.Count))
            {
                int place = _places[same];
                _errors[place] = _errors[place] with { Others = _errors[place].Others + 1 };
                continue;
            }
            _errors.Add(error);
        }
    }
}
