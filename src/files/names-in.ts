import { readdirSync } from 'node:fs';

/** Names in a folder, in no order; none when there is no such folder, or when it cannot be read. */
export function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}
