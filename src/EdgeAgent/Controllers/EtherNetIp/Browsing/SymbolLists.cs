namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>Asks for the lists of symbols: the controller's, then each program's. A list comes in parts, each from the next instance on.</summary>
internal sealed class SymbolLists(Questions questions)
{
    private const string ProgramPrefix = "Program:";

    // Older controllers do not know the lengths of arrays.
    private bool _withLengths = true;
    private int _symbols;

    /// <returns>Symbols with their scope in front of the name, the system's own left out.</returns>
    /// <exception cref="LinkException">There is no such list, or it does not hold together.</exception>
    public async Task<List<Symbol>> AllAsync(CancellationToken cancellation)
    {
        List<Symbol> controller = await ListAsync(program: null, cancellation);
        List<Symbol> all = [.. controller.Where(IsSomebodys)];
        string[] programs =
        [
            .. controller
                .Select(symbol => symbol.Name)
                .Where(name => name.StartsWith(ProgramPrefix, StringComparison.OrdinalIgnoreCase)),
        ];
        if (programs.Length > BrowseLimits.Programs)
            throw BrowseRefusal.Because($"more than {BrowseLimits.Programs} programs");
        foreach (string program in programs)
        {
            List<Symbol> its = await ListAsync(program, cancellation);
            all.AddRange(
                its.Where(IsSomebodys).Select(symbol => symbol with { Name = $"{program}.{symbol.Name}" })
            );
        }
        return all;
    }

    private async Task<List<Symbol>> ListAsync(string? program, CancellationToken cancellation)
    {
        if (program is not null && (program.Length > byte.MaxValue || !program.All(char.IsAscii)))
            throw BrowseRefusal.Because("a program's name that cannot be one");
        List<Symbol> list = [];
        uint next = 0;
        while (true)
        {
            Answer answer = await questions.AskAsync(
                CipService.GetInstanceAttributeList,
                CipPath.Symbols(program, next),
                Attributes(),
                cancellation
            );
            if (!answer.IsGood && _withLengths)
            {
                _withLengths = false;
                continue;
            }
            if (!answer.IsGood)
                throw new LinkException(
                    TagStatus.ControllerError,
                    $"does not list the tags of {program ?? "the controller"}: {answer.Meaning}. Only controllers with named tags do; write tags into the configuration by hand"
                );
            List<Symbol> part = Symbol.Parse(answer.Data, _withLengths);
            foreach (Symbol symbol in part)
            {
                if (symbol.Id < next || symbol.Id == uint.MaxValue)
                    throw BrowseRefusal.Because("a list of tags that goes back to where it was");
                next = symbol.Id + 1;
            }
            _symbols += part.Count;
            if (_symbols > BrowseLimits.Symbols)
                throw BrowseRefusal.Because($"more than {BrowseLimits.Symbols} tags");
            list.AddRange(part);
            if (!answer.IsPartial)
                return list;
            if (part.Count == 0)
                throw BrowseRefusal.Because("a list of tags of which no part comes");
        }
    }

    private byte[] Attributes()
    {
        ByteBuilder attributes = new ByteBuilder()
            .UInt16(_withLengths ? 3 : 2)
            .UInt16(Symbol.NameAttribute)
            .UInt16(Symbol.TypeAttribute);
        return (_withLengths ? attributes.UInt16(Symbol.LengthsAttribute) : attributes).ToArray();
    }

    private static bool IsSomebodys(Symbol symbol) =>
        !symbol.Type.IsSystem
        && !symbol.Name.StartsWith("__", StringComparison.Ordinal)
        && !symbol.Name.StartsWith(ProgramPrefix, StringComparison.OrdinalIgnoreCase);
}
