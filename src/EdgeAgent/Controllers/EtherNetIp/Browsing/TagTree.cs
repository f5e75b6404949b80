using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>Takes structures apart into the tags that can be read by themselves.</summary>
internal sealed class TagTree(TemplateBook templates)
{
    private const int BoolsPerWord = 32;

    private readonly List<BrowsedTag> _tags = [];
    private int _unwritable;
    private int _beyond;
    private int _unknownStructures;
    private int _longArrays;
    private int _structures;

    public BrowsedController Of(IEnumerable<Symbol> symbols)
    {
        foreach (Symbol symbol in symbols)
        {
            // Older controllers tell that it is an array, but not of how many.
            int length = symbol.Type.Dimensions switch
            {
                0 => 0,
                1 when symbol.Lengths.Length == 1 => symbol.Lengths[0],
                _ => -1,
            };
            Add(symbol.Name, symbol.Type, length, depth: 0);
        }
        List<string> remarks = [];
        Remark(remarks, _unwritable, "names of tags are none that a request could carry, and are left out");
        Remark(remarks, _beyond, $"tags beyond the first {BrowseLimits.Tags} are left out");
        Remark(
            remarks,
            _unknownStructures,
            "structures are not taken apart: the controller does not say what they are made of"
        );
        Remark(
            remarks,
            _longArrays,
            $"arrays of structures are taken apart for their first {BrowseLimits.Elements} elements only"
        );
        return new BrowsedController(_tags, remarks);
    }

    private void Add(string name, SymbolType type, int length, int depth)
    {
        if (!TextRule.TagName.Fits(name))
            _unwritable++;
        else if (_tags.Count >= BrowseLimits.Tags)
            _beyond++;
        else if (type.IsString)
            _tags.Add(new BrowsedTag(name, TagType.String, "STRING", length));
        else if (!type.IsStructure)
            AddValue(name, type.Code, length);
        else if (
            depth == BrowseLimits.Depth
            || length < 0
            || templates.Find(type.Template) is not { } template
        )
            AddUnknown(name, length);
        else if (length == 0)
            AddMembers(name, template, depth);
        else
        {
            if (length > BrowseLimits.Elements)
                _longArrays++;
            for (int i = 0; i < Math.Min(length, BrowseLimits.Elements); i++)
                AddMembers($"{name}[{i}]", template, depth);
        }
    }

    private void AddMembers(string name, Template template, int depth)
    {
        if (++_structures > BrowseLimits.Tags)
            throw BrowseRefusal.Because($"more than {BrowseLimits.Tags} structures within structures");
        foreach (TemplateMember member in template.Members)
        {
            bool isHidden =
                member.Name.StartsWith("ZZZZZZZZZZ", StringComparison.Ordinal)
                || member.Name.StartsWith("__", StringComparison.Ordinal);
            if (!isHidden)
                Add($"{name}.{member.Name}", member.Type, member.Length, depth + 1);
        }
    }

    private void AddValue(string name, ushort code, int length)
    {
        // Arrays of BOOL are kept as words of 32.
        bool isBools = code == CipType.Dword && length > 0;
        TagType? type =
            isBools ? TagType.Bool
            : code is >= CipType.Bool and <= CipType.Lreal ? TagType.Bool + (code - CipType.Bool)
            : null;
        string typeName = isBools ? "BOOL" : CipType.Name(code, handle: 0);
        bool isReadable = length >= 0 && length <= int.MaxValue / BoolsPerWord;
        _tags.Add(
            new BrowsedTag(
                name,
                isReadable ? type : null,
                typeName,
                isBools && isReadable ? length * BoolsPerWord : length
            )
        );
    }

    private void AddUnknown(string name, int length)
    {
        _unknownStructures++;
        _tags.Add(new BrowsedTag(name, null, "structure", length));
    }

    private static void Remark(List<string> remarks, int count, string what)
    {
        if (count > 0)
            remarks.Add($"{count} {what}.");
    }
}
