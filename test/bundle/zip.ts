import { crc32, deflateRawSync } from 'node:zlib';

/** A member of a ZIP file, of which anything may be a lie. */
export interface Member {
  /** Up to 65535 bytes of any name. */
  readonly name: string;
  readonly data: Uint8Array;
  readonly packed?: boolean;
  /** Inflated bytes that both headers tell. */
  readonly declared?: number;
  /** Unix mode in the upper half of the external attributes. */
  readonly mode?: number;
  readonly encrypted?: boolean;
  /** The method that both headers name. */
  readonly method?: number;
}

/** The same content in many members is packed once. */
const packedOnce = new WeakMap<Uint8Array, Buffer>();

function deflated(data: Uint8Array): Buffer {
  const known = packedOnce.get(data) ?? deflateRawSync(data, { level: 9 });
  packedOnce.set(data, known);
  return known;
}

/** Writes a ZIP file by hand (APPNOTE 6.3.9, sections 4.3.7, 4.3.12, 4.3.16), so that it can say what no program would. */
export function zipOf(members: readonly Member[]): Buffer {
  const locals: Buffer[] = [];
  const directory: Buffer[] = [];
  let offset = 0;
  for (const member of members) {
    const { name, data, packed = false, declared = data.length, mode = 0o100644, encrypted = false } = member;
    const bytes = packed ? deflated(data) : Buffer.from(data);
    const method = member.method ?? (packed ? 8 : 0);
    const title = Buffer.from(name);
    const common = Buffer.alloc(26);
    common.writeUInt16LE(20, 0);
    common.writeUInt16LE(0x800 | (encrypted ? 1 : 0), 2);
    common.writeUInt16LE(method, 4);
    common.writeUInt32LE(0x21_0000, 6);
    common.writeUInt32LE(crc32(data), 10);
    common.writeUInt32LE(bytes.length, 14);
    common.writeUInt32LE(declared, 18);
    common.writeUInt16LE(title.length, 22);
    const local = Buffer.concat([Buffer.from('PK\x03\x04', 'latin1'), common, title, bytes]);
    const tail = Buffer.alloc(14);
    tail.writeUInt32LE((mode << 16) >>> 0, 6);
    tail.writeUInt32LE(offset, 10);
    directory.push(Buffer.concat([Buffer.from('PK\x01\x02\x14\x03', 'latin1'), common, tail, title]));
    locals.push(local);
    offset += local.length;
  }
  const central = Buffer.concat(directory);
  const end = Buffer.alloc(22);
  end.write('PK\x05\x06', 'latin1');
  end.writeUInt16LE(members.length, 8);
  end.writeUInt16LE(members.length, 10);
  end.writeUInt32LE(central.length, 12);
  end.writeUInt32LE(offset, 16);
  return Buffer.concat([...locals, central, end]);
}
