import { createHash } from 'node:crypto';
import { realpathSync, statSync } from 'node:fs';
import { delimiter, join, resolve } from 'node:path';
import { readRegular } from '../files/open-regular.js';

/** A file that a command line consists of. */
export interface ProgramFile {
  /** Its real path, links followed; null where nothing of that name was found. */
  readonly path: string | null;
  /** SHA-256 of its content, hexadecimal; null where it cannot be read. */
  readonly sha256: string | null;
}

/**
 * The files that a command line names: the program, found as the operating system finds it, and every argument that is a file
 * or has one behind an equals sign, such as the script that an interpreter is given. What these load in turn (libraries,
 * modules, settings, firmware) is not looked at.
 */
export function programFiles([program = '', ...args]: readonly string[], folder: string): ProgramFile[] {
  const named = args.flatMap((text) => [text, text.slice(text.indexOf('=') + 1)]);
  const found = [...new Set(named)].flatMap((text) => fileAt(resolve(folder, text)) ?? []);
  return [fileOf(programPath(program, folder)), ...[...new Set(found)].map(fileOf)];
}

/** Where the operating system would find a program: by its path, or by its name in the folders of PATH. */
function programPath(program: string, folder: string): string | null {
  if (/[\\/]/.test(program)) return fileAt(resolve(folder, program));
  const endings = process.platform === 'win32' ? ['', '.exe', '.com', '.bat', '.cmd'] : [''];
  const places = (process.env.PATH ?? '').split(delimiter).filter((place) => place !== '');
  for (const place of places)
    for (const ending of endings) {
      const path = fileAt(join(resolve(folder, place), `${program}${ending}`));
      if (path !== null) return path;
    }
  return null;
}

function fileAt(path: string): string | null {
  try {
    return statSync(path).isFile() ? realpathSync(path) : null;
  } catch {
    return null;
  }
}

function fileOf(path: string | null): ProgramFile {
  if (path === null) return { path, sha256: null };
  try {
    return {
      path,
      sha256: createHash('sha256').update(readRegular(path, Number.POSITIVE_INFINITY)).digest('hex'),
    };
  } catch {
    return { path, sha256: null };
  }
}
