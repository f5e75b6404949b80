using System.Reflection;
using System.Reflection.Emit;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;

namespace Dancerwatch.EndToEnd.Tests.Architecture;

/// <summary>Looks into a compiled assembly: what it calls, and which whole numbers stand in its instructions.</summary>
internal static class Metadata
{
    private const BindingFlags Everything =
        BindingFlags.Public
        | BindingFlags.NonPublic
        | BindingFlags.Instance
        | BindingFlags.Static
        | BindingFlags.DeclaredOnly;

    private static readonly Dictionary<int, OpCode> s_opCodes = typeof(OpCodes)
        .GetFields(BindingFlags.Public | BindingFlags.Static)
        .Select(field => (OpCode)field.GetValue(null)!)
        .ToDictionary(code => (int)(ushort)code.Value);

    /// <summary>Names of the members of <paramref name="types"/> (full names) that the assembly refers to.</summary>
    public static IReadOnlyList<string> MemberReferences(Assembly assembly, params string[] types)
    {
        using PEReader file = new(File.OpenRead(assembly.Location));
        MetadataReader metadata = file.GetMetadataReader();
        List<string> found = [];
        foreach (MemberReferenceHandle handle in metadata.MemberReferences)
        {
            MemberReference member = metadata.GetMemberReference(handle);
            if (member.Parent.Kind != HandleKind.TypeReference)
                continue;
            TypeReference parent = metadata.GetTypeReference((TypeReferenceHandle)member.Parent);
            string type = $"{metadata.GetString(parent.Namespace)}.{metadata.GetString(parent.Name)}";
            if (types.Contains(type))
                found.Add(metadata.GetString(member.Name));
        }
        return found;
    }

    /// <summary>Functions of native libraries that the assembly imports, and the libraries.</summary>
    public static IReadOnlyList<(string Library, string Name)> NativeImports(Assembly assembly)
    {
        using PEReader file = new(File.OpenRead(assembly.Location));
        MetadataReader metadata = file.GetMetadataReader();
        List<(string, string)> found = [];
        foreach (MethodDefinitionHandle handle in metadata.MethodDefinitions)
        {
            MethodDefinition method = metadata.GetMethodDefinition(handle);
            if (!method.Attributes.HasFlag(MethodAttributes.PinvokeImpl))
                continue;
            MethodImport import = method.GetImport();
            found.Add(
                (
                    metadata.GetString(metadata.GetModuleReference(import.Module).Name),
                    metadata.GetString(import.Name)
                )
            );
        }
        return found;
    }

    /// <summary>Every text that an instruction of the method loads.</summary>
    public static IEnumerable<string> Texts(MethodBase method)
    {
        byte[] code = method.GetMethodBody()?.GetILAsByteArray() ?? [];
        int at = 0;
        while (at < code.Length)
        {
            int value = code[at++];
            if (value == 0xFE)
                value = (value << 8) | code[at++];
            OpCode opCode = s_opCodes[value];
            if (opCode == OpCodes.Ldstr)
                yield return method.Module.ResolveString(BitConverter.ToInt32(code, at));
            at += OperandLength(opCode, code, at);
        }
    }

    /// <summary>Types of a namespace and those below it, with what the compiler made for them.</summary>
    public static IReadOnlyList<Type> TypesUnder(Assembly assembly, string space) =>
        [
            .. assembly
                .GetTypes()
                .Where(type =>
                    type.Namespace == space
                    || type.Namespace?.StartsWith($"{space}.", StringComparison.Ordinal) == true
                ),
        ];

    public static IEnumerable<MethodBase> MethodsOf(Type type) =>
        type.GetMethods(Everything).Cast<MethodBase>().Concat(type.GetConstructors(Everything));

    public static IEnumerable<MemberInfo> MembersOf(Type type) => type.GetMembers(Everything);

    /// <summary>Every 32-bit constant that an instruction of the method loads.</summary>
    public static IEnumerable<int> Literals(MethodBase method)
    {
        byte[] code = method.GetMethodBody()?.GetILAsByteArray() ?? [];
        int at = 0;
        while (at < code.Length)
        {
            int value = code[at++];
            if (value == 0xFE)
                value = (value << 8) | code[at++];
            OpCode opCode = s_opCodes[value];
            if (opCode == OpCodes.Ldc_I4_S)
                yield return (sbyte)code[at];
            else if (opCode == OpCodes.Ldc_I4)
                yield return BitConverter.ToInt32(code, at);
            at += OperandLength(opCode, code, at);
        }
    }

    private static int OperandLength(OpCode opCode, byte[] code, int at) =>
        opCode.OperandType switch
        {
            OperandType.InlineNone => 0,
            OperandType.ShortInlineBrTarget or OperandType.ShortInlineI or OperandType.ShortInlineVar => 1,
            OperandType.InlineVar => 2,
            OperandType.InlineI8 or OperandType.InlineR => 8,
            OperandType.InlineSwitch => 4 + (4 * BitConverter.ToInt32(code, at)),
            _ => 4,
        };
}
