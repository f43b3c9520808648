import { existsSync } from 'node:fs';
import { relative, resolve } from 'node:path';
import { root } from './root.js';

/** Where a wrong figure or a missed trip would begin. */
const ROOMS = ['safety', 'judgement', 'calibration', 'measure'];

/** An argument that names neither a room nor a file or folder of one. */
export class UnknownPlace extends Error {
  override readonly name = 'UnknownPlace';
}

/**
 * The places to change, as patterns of files from the root of the project, by the room that they lie in.
 * @throws UnknownPlace
 */
export function filesByRoom(given: readonly string[]): Map<string, string[]> {
  const rooms = new Map<string, string[]>();
  for (const one of given.length > 0 ? given : ROOMS) {
    const place = ROOMS.includes(one) ? `src/${one}` : relative(root, resolve(one));
    const room = ROOMS.find((candidate) => `${place}/`.startsWith(`src/${candidate}/`));
    if (room === undefined || !existsSync(resolve(root, place)))
      throw new UnknownPlace(
        `${one} is neither one of ${ROOMS.join(', ')} nor a file or folder in one of them`,
      );
    rooms.set(room, [...(rooms.get(room) ?? []), place.endsWith('.ts') ? place : `${place}/**/*.ts`]);
  }
  return rooms;
}
