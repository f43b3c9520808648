import { execFile } from 'node:child_process';
import { cpSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';

const root = fileURLToPath(new URL('..', import.meta.url));
const run = promisify(execFile);

/**
 * What the compiler says of the sources with some files changed or added, line by line; nothing when all is well.
 *
 * @param changes text by path, relative to the repository
 */
export async function complaints(changes: Readonly<Record<string, string>>): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-types-'));
  try {
    cpSync(join(root, 'src'), join(folder, 'src'), { recursive: true });
    for (const name of ['tsconfig.json', 'package.json']) cpSync(join(root, name), join(folder, name));
    symlinkSync(join(root, 'node_modules'), join(folder, 'node_modules'));
    for (const [path, text] of Object.entries(changes)) writeFileSync(join(folder, path), text);
    // The whole message in one line, and a line a fault.
    const args = ['--noEmit', '--pretty', 'false', '-p', folder];
    const { stdout } = await run(join(root, 'node_modules/.bin/tsc'), args, { cwd: folder }).catch(
      (error: { readonly stdout: string }) => error,
    );
    return stdout.split(/\n(?=\S)/).filter((line) => line.trim() !== '');
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
