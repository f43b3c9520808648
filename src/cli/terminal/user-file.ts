import { closeSync, constants, openSync, realpathSync, statSync } from 'node:fs';
import { asTold, inputError } from '../../errors/error-table.js';
import { bytesOf, FileTooLong, openRegular } from '../../files/open-regular.js';

/** A file that the user named cannot be read. */
export const FileUnreadable = inputError('FILE_UNREADABLE', asTold);

/** Far above any file that a person writes: four times the characters a document may have, as each may take four bytes. */
const MOST_DOCUMENT_BYTES = 2 ** 20;

const NAME_ANOTHER = 'Name another file';

/** What the file system, or `openReadable`, refuses: in words, and what would be right. */
const REASONS: Readonly<Record<string, readonly [what: string, mend: string]>> = {
  ENOENT: ['there is no such file', 'Look for a slip in the name'],
  ENOTDIR: ['a file stands where a folder of this name would be', 'Look for a slip in the name'],
  ENAMETOOLONG: ['the name is too long for a file', 'Look for a slip in the name'],
  EISDIR: ['this is a folder, not a file', 'Name a file in it'],
  EACCES: ['this file may not be read', 'Let yourself read it, or name another one'],
  ELOOP: ['this is a link that leads back to itself', NAME_ANOTHER],
  DEVICE: ['this is a device, not a file', NAME_ANOTHER],
  NAMED_PIPE: [
    'this is a pipe, which waits until somebody writes',
    'Name a file, or give /dev/stdin, and put cat PIPE | in front',
  ],
};

/**
 * Reads a file that the user named, or a pipe that the shell has opened for a command.
 *
 * @param mostBytes what a longer one has is not read
 * @throws FileUnreadable also when it is longer
 */
export function readUserFile(path: string, mostBytes = MOST_DOCUMENT_BYTES): Buffer {
  try {
    const file = openReadable(path);
    try {
      return bytesOf(file, mostBytes);
    } finally {
      closeSync(file);
    }
  } catch (error) {
    if (error instanceof FileTooLong)
      throw new FileUnreadable({
        what: `this file is longer than ${Math.floor(mostBytes / 2 ** 20)} MiB`,
        where: path,
        mend: mostBytes > MOST_DOCUMENT_BYTES ? 'Cut a piece out of it' : 'Such files are a few pages long',
      });
    const { code } = error as NodeJS.ErrnoException;
    const [what, mend] = REASONS[code ?? ''] ?? [`this file cannot be read (${code})`, NAME_ANOTHER];
    if (path === '')
      throw new FileUnreadable({ what: 'the name of a file is empty', mend: 'Name a file', cause: error });
    throw new FileUnreadable({ what, where: path, mend, cause: error });
  }
}

/** Whether a pipe lies in a folder, rather than being one that the shell has opened for a command. */
export function isNamedPipe(path: string): boolean {
  try {
    const real = realpathSync(path);
    return !/^\/dev\/(fd\/\d+|std(in|out|err))$/.test(real) && statSync(real).isFIFO();
  } catch {
    // What is open has no path of its own.
    return false;
  }
}

function openReadable(path: string): number {
  const there = statSync(path);
  const refuse = (code: string) => Object.assign(new Error(code), { code });
  if (there.isDirectory()) throw refuse('EISDIR');
  // Some devices never end.
  if (there.isCharacterDevice() || there.isBlockDevice()) throw refuse('DEVICE');
  if (!there.isFIFO()) return openRegular(path);
  if (isNamedPipe(path)) throw refuse('NAMED_PIPE');
  // The shell has opened it, and somebody writes.
  return openSync(path, constants.O_RDONLY);
}
