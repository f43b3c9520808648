import { closeSync, constants, fstatSync, openSync, readSync } from 'node:fs';

/** What stands at a path is no file: a folder, a pipe, a device. */
export class NoRegularFile extends Error {}

/** A file is longer than any that is expected there. */
export class FileTooLong extends Error {
  constructor(readonly mostBytes: number) {
    super(`longer than ${mostBytes} bytes`);
  }
}

const { O_RDONLY, O_RDWR, O_WRONLY, O_APPEND, O_CREAT, O_TRUNC } = constants;
const WAYS = {
  /** To read what is there. */
  r: O_RDONLY,
  /** To change what is there. */
  'r+': O_RDWR,
  /** To add to it, or make it. */
  a: O_WRONLY | O_APPEND | O_CREAT,
  /** To write it anew, and read it again. */
  'w+': O_RDWR | O_CREAT | O_TRUNC,
} as const;

/** A pipe would keep whoever opens it waiting for ever, and a terminal would become ours. Windows has neither. */
const NEVER_WAIT = (constants.O_NONBLOCK ?? 0) | (constants.O_NOCTTY ?? 0);

/**
 * Opens a regular file, and nothing else, without ever waiting. What stands there is looked at once it is open, so that it cannot be
 * exchanged in between.
 *
 * @returns a descriptor, to be closed
 * @throws NoRegularFile for a folder, pipe, socket or device; the file system's error
 */
export function openRegular(path: string, way: keyof typeof WAYS = 'r'): number {
  let descriptor: number;
  try {
    descriptor = openSync(path, WAYS[way] | NEVER_WAIT);
  } catch (error) {
    // A pipe that nobody reads, a socket, a folder that should be written to.
    const { code = '' } = error as NodeJS.ErrnoException;
    throw ['ENXIO', 'EISDIR', 'ENODEV'].includes(code) ? new NoRegularFile(path, { cause: error }) : error;
  }
  if (fstatSync(descriptor).isFile()) return descriptor;
  closeSync(descriptor);
  throw new NoRegularFile(path);
}

/** What is read at a time where the length is not known before, as of the files that a kernel makes up. */
const PIECE_BYTES = 2 ** 16;

/** All bytes of a regular file. @throws NoRegularFile, FileTooLong, the file system's error */
export function readRegular(path: string, mostBytes: number): Buffer {
  const descriptor = openRegular(path);
  try {
    return bytesOf(descriptor, mostBytes);
  } finally {
    closeSync(descriptor);
  }
}

/** All bytes behind a descriptor. @throws FileTooLong */
export function bytesOf(descriptor: number, mostBytes: number): Buffer {
  const { size } = fstatSync(descriptor);
  if (size > mostBytes) throw new FileTooLong(mostBytes);
  // One byte more than there should be, so that the end is seen without asking for another piece.
  let whole = Buffer.allocUnsafe(size > 0 ? size + 1 : PIECE_BYTES);
  let length = 0;
  for (;;) {
    const read = readSync(descriptor, whole, length, whole.length - length, null);
    length += read;
    if (read === 0) return whole.subarray(0, length);
    if (length > mostBytes) throw new FileTooLong(mostBytes);
    if (length === whole.length) whole = Buffer.concat([whole], 2 * length);
  }
}
