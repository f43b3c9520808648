import { existsSync, readdirSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { root } from './root.js';

/** Where a wrong figure or a missed trip would begin. */
const ROOMS = ['safety', 'judgement', 'calibration', 'measure'];

/** An argument that names neither a room nor a file or folder of one. */
export class UnknownPlace extends Error {
  override readonly name = 'UnknownPlace';
}

/** A source file, and the room that it lies in. */
export interface AskedFile {
  readonly room: string;
  /** From the root of the project. */
  readonly file: string;
}

/**
 * The files to change: those named, and all of the rooms and folders that are named.
 * @throws UnknownPlace
 */
export function askedFiles(given: readonly string[]): AskedFile[] {
  return (given.length > 0 ? given : ROOMS).flatMap((one) => {
    const place = ROOMS.includes(one) ? `src/${one}` : relative(root, resolve(one));
    const room = ROOMS.find((candidate) => `${place}/`.startsWith(`src/${candidate}/`));
    if (room === undefined || !existsSync(join(root, place)))
      throw new UnknownPlace(
        `${one} is neither one of ${ROOMS.join(', ')} nor a file or folder in one of them`,
      );
    return filesIn(place).map((file) => ({ room, file }));
  });
}

function filesIn(place: string): string[] {
  if (place.endsWith('.ts')) return [place];
  return readdirSync(join(root, place), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts') && !name.endsWith('.d.ts'))
    .map((name) => join(place, name))
    .sort();
}
