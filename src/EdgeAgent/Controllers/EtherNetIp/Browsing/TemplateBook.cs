namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>Definitions of the structures that tags are made of, each asked for once.</summary>
internal sealed class TemplateBook(Questions questions)
{
    private readonly Dictionary<ushort, Template?> _templates = [];

    /// <summary>The definition; null where the controller does not give it.</summary>
    public Template? Find(ushort id) => _templates.GetValueOrDefault(id);

    /// <summary>Learns of these structures and of those within them.</summary>
    /// <exception cref="LinkException">A definition does not hold together.</exception>
    public async Task LearnAsync(IEnumerable<SymbolType> types, CancellationToken cancellation)
    {
        Queue<SymbolType> open = new(types);
        while (open.TryDequeue(out SymbolType type))
        {
            if (!type.IsStructure || type.IsString || _templates.ContainsKey(type.Template))
                continue;
            if (_templates.Count >= BrowseLimits.Templates)
                throw BrowseRefusal.Because($"more than {BrowseLimits.Templates} kinds of structures");
            Template? template = await AskAsync(type.Template, cancellation);
            _templates.Add(type.Template, template);
            foreach (TemplateMember member in template?.Members ?? [])
                open.Enqueue(member.Type);
        }
    }

    private async Task<Template?> AskAsync(ushort id, CancellationToken cancellation)
    {
        byte[] path = CipPath.Template(id);
        byte[] attributes = new ByteBuilder()
            .UInt16(2)
            .UInt16(Template.DefinitionWordsAttribute)
            .UInt16(Template.MemberCountAttribute)
            .ToArray();
        Answer size = await questions.AskAsync(CipService.GetAttributeList, path, attributes, cancellation);
        if (!size.IsGood || !Template.TryReadSize(size.Data, out int members, out int bytes))
            return null;
        byte[] definition = new byte[bytes];
        int have = 0;
        bool more = true;
        while (more && have < bytes)
        {
            int wanted = Math.Min(bytes - have, questions.LargestPart);
            Answer part = await questions.AskAsync(
                CipService.ReadTemplate,
                path,
                new ByteBuilder().UInt32((uint)have).UInt16(wanted).ToArray(),
                cancellation
            );
            if (!part.IsGood)
                return null;
            if (part.Data.Length > wanted || (part.IsPartial && part.Data.Length == 0))
                throw BrowseRefusal.Because("a definition of a structure that does not hold together");
            part.Data.CopyTo(definition, have);
            have += part.Data.Length;
            more = part.IsPartial || part.Data.Length == wanted;
        }
        return Template.Parse(definition.AsSpan(0, have), members);
    }
}
