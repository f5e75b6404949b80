using System.Text;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Identity object (class 0x01), instance 1, attributes 1 to 7 (CIP volume 1, 5-2; from memory).</summary>
internal static class IdentityObject
{
    private const int LastAttribute = 7;

    /// <summary>All attributes in order, as Get Attributes All and List Identity give them.</summary>
    public static void WriteAll(ControllerIdentity identity, ref ByteWriter reply)
    {
        for (uint attribute = 1; attribute <= LastAttribute; attribute++)
            TryWrite(identity, attribute, ref reply);
    }

    public static bool TryWrite(ControllerIdentity identity, uint attribute, ref ByteWriter reply)
    {
        switch (attribute)
        {
            case 1:
                reply.UInt16(identity.Vendor);
                return true;
            case 2:
                reply.UInt16(identity.DeviceType);
                return true;
            case 3:
                reply.UInt16(identity.ProductCode);
                return true;
            case 4:
                reply.Byte(identity.MajorRevision);
                reply.Byte(identity.MinorRevision);
                return true;
            case 5:
                reply.UInt16(identity.Status);
                return true;
            case 6:
                reply.UInt32(identity.SerialNumber);
                return true;
            case LastAttribute:
                reply.Byte((byte)identity.ProductName.Length);
                reply.Skip(Encoding.ASCII.GetBytes(identity.ProductName, reply.Rest));
                return true;
            default:
                return false;
        }
    }
}
