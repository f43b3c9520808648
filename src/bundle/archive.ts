import { lstatSync, type Stats, statSync } from 'node:fs';
import type { Readable } from 'node:stream';
import { type Entry, openPromise, type ZipFile } from 'yauzl';
import { BundleAltered, BundleUnsafe, NotABundle } from './bundle-errors.js';
import {
  MOST_CAPTURE_BYTES,
  MOST_INFLATED_BYTES,
  MOST_MANIFEST_BYTES,
  MOST_MEMBERS,
  MOST_RATIO,
  MOST_RUN_BYTES,
  MOST_TEXT_BYTES,
} from './limits.js';
import { isCapture, isMemberName, MEMBER } from './members.js';

/** Methods of the ZIP format (APPNOTE 4.4.5). */
const STORED = 0;
const DEFLATED = 8;
/** Upper half of the attributes that Unix programs write: the kind of file, of which a plain one is the only one we take. */
const KIND = 0o170000;
const PLAIN_FILE = 0o100000;
const MEBIBYTE = 2 ** 20;

/**
 * The ZIP file that a bundle is, looked at with distrust: every name, kind, method and size is checked before the first
 * byte is inflated, and inflating ends where the declared size does.
 */
export class Archive {
  private constructor(
    readonly file: string,
    private readonly zip: ZipFile,
    private readonly entries: ReadonlyMap<string, Entry>,
  ) {}

  /** @throws NotABundle, BundleUnsafe */
  static async open(file: string): Promise<Archive> {
    requirePlainFile(file);
    const zip = await asOurs(file, () =>
      openPromise(file, { autoClose: false, lazyEntries: true, strictFileNames: true }),
    );
    try {
      return new Archive(file, zip, await asOurs(file, () => entriesOf(file, zip)));
    } catch (error) {
      zip.close();
      throw error;
    }
  }

  get names(): string[] {
    return [...this.entries.keys()];
  }

  /** Declared bytes of a member; undefined when there is none of this name. */
  bytesOf(name: string): number | undefined {
    return this.entries.get(name)?.uncompressedSize;
  }

  /** @throws BundleAltered when there is no such member, or when it cannot be read as it was declared */
  async read(name: string): Promise<Uint8Array> {
    const entry = this.entries.get(name);
    if (!entry) throw new BundleAltered(this.file, `${name} is missing`);
    try {
      return await collected(await this.zip.openReadStreamPromise(entry), entry.uncompressedSize);
    } catch (error) {
      throw new BundleAltered(this.file, `${name} cannot be unpacked (${plain(error)})`);
    }
  }

  close(): void {
    this.zip.close();
  }
}

function requirePlainFile(file: string): void {
  const stats = statsAt(file);
  if (!stats) {
    const what = lstatSync(file, { throwIfNoEntry: false })
      ? 'this is a link to nothing'
      : 'there is no such file';
    throw new NotABundle(file, what);
  }
  // A device may never end, a pipe cannot be read from its end.
  if (!stats.isFile())
    throw new NotABundle(file, `this is a ${stats.isDirectory() ? 'folder' : 'device or pipe'}, not a file`);
  if (stats.size === 0) throw new NotABundle(file, 'this file is empty');
}

/** What stands at a path; undefined when nothing does. @throws NotABundle when that cannot be told, as in a circle of links */
function statsAt(file: string): Stats | undefined {
  try {
    return statSync(file, { throwIfNoEntry: false });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    const reasons: Record<string, string> = {
      ELOOP: 'this is a link that leads back to itself',
      ENOTDIR: 'a file stands where a folder of this name would be',
      ENAMETOOLONG: 'the name is too long for a file',
      EACCES: 'its folder may not be looked into',
    };
    const what = reasons[code ?? ''] ?? `there is nothing that could be read (${code})`;
    throw new NotABundle(file, what, error);
  }
}

/** Words what the ZIP reader or the file system throws. */
async function asOurs<T>(file: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof BundleUnsafe || error instanceof NotABundle) throw error;
    throw new NotABundle(file, `this is not a bundle, or not a complete one (${plain(error)})`, error);
  }
}

/** A message of somebody else's, as it may quote what stands in the file. */
const plain = (error: unknown): string =>
  String((error as Error).message)
    .replaceAll(/[^\x20-\x7e]/g, '?')
    .slice(0, 160);

async function entriesOf(file: string, zip: ZipFile): Promise<Map<string, Entry>> {
  if (zip.entryCount > MOST_MEMBERS)
    throw new BundleUnsafe(
      file,
      `it says to hold ${zip.entryCount} members`,
      `At most ${MOST_MEMBERS} are allowed`,
    );
  const entries = new Map<string, Entry>();
  let inflated = 0;
  let stored = 0;
  for await (const entry of zip.eachEntry()) {
    const name = entry.fileName;
    const fault = entries.has(name) ? 'stands in it twice' : entryFault(entry);
    if (fault !== null)
      throw new BundleUnsafe(
        file,
        `the member '${plain({ message: name })}' ${fault}`,
        'A bundle that ohmest writes has no such member: get the file again from its author',
      );
    if (isCapture(name)) stored += entry.uncompressedSize;
    else inflated += entry.uncompressedSize;
    entries.set(name, entry);
  }
  if (inflated > MOST_INFLATED_BYTES)
    throw new BundleUnsafe(
      file,
      `unpacked it would take ${inflated} bytes`,
      `At most ${MOST_INFLATED_BYTES} are allowed, captures not counted`,
    );
  // What is stored as it is cannot take more room than the file, unless members lie on top of each other.
  if (stored > zip.fileSize)
    throw new BundleUnsafe(
      file,
      'its captures take more room than the file itself',
      'Members must not overlap',
    );
  return entries;
}

/** What is wrong with a member by its entry in the directory; null when nothing is. */
function entryFault(entry: Entry): string | null {
  const { fileName, compressionMethod, compressedSize, uncompressedSize, externalFileAttributes } = entry;
  if (!isMemberName(fileName)) return 'has a name that no member of a bundle has';
  const kind = (externalFileAttributes >>> 16) & KIND;
  if (kind !== 0 && kind !== PLAIN_FILE) return 'is a link, a folder or a device';
  if (entry.isEncrypted()) return 'is encrypted';
  if (isCapture(fileName) ? compressionMethod !== STORED : ![STORED, DEFLATED].includes(compressionMethod))
    return 'is packed in a way that it never is';
  if (uncompressedSize > mostBytes(fileName)) return `would take ${uncompressedSize} bytes unpacked`;
  if (uncompressedSize > MEBIBYTE && uncompressedSize > MOST_RATIO * compressedSize)
    return `unpacks to more than ${MOST_RATIO} times its size`;
  return null;
}

function mostBytes(name: string): number {
  if (isCapture(name)) return MOST_CAPTURE_BYTES;
  if (name === MEMBER.run) return MOST_RUN_BYTES;
  return name === MEMBER.manifest ? MOST_MANIFEST_BYTES : MOST_TEXT_BYTES;
}

/** Everything a stream gives, which must be `bytes` long: it is left at the first byte too many. */
async function collected(stream: Readable, bytes: number): Promise<Uint8Array> {
  // Not gathered first and joined then: the largest document would lie in memory twice.
  const whole = Buffer.allocUnsafe(bytes);
  let length = 0;
  for await (const part of stream as AsyncIterable<Buffer>) {
    part.copy(whole, length);
    length += part.length;
    if (length > bytes) break;
  }
  if (length !== bytes) throw new Error(`${length > bytes ? 'more' : 'fewer'} bytes than declared`);
  return whole;
}
