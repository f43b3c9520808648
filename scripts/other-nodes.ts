/**
 * Runs the tests of the groups core and long that need no native module on the other versions of Node that ohmest
 * supports. Each version is fetched as an npm package into a folder that is removed afterwards; arguments after `--` go to
 * vitest, where `{node}` stands for the version. OHMEST_BRIEF_ON=22,24 runs the group core only on those versions, a share
 * of its files on each: together half of them.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { nativeFreeTests } from './native-free.js';

const VERSIONS = ['22', '24'];
const root = join(import.meta.dirname, '..');
const binaries = `node-${process.platform === 'win32' ? 'win' : process.platform}-${process.arch}`;

function runOn(version: string, files: readonly string[]): number {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-node-'));
  // A test starts this Node as another user, who must be able to reach it.
  chmodSync(folder, 0o755);
  try {
    execFileSync('npm', [
      'install',
      '--silent',
      '--no-save',
      '--no-audit',
      '--prefix',
      folder,
      `${binaries}@${version}`,
    ]);
    const bin = join(folder, 'node_modules', binaries, 'bin');
    const node = join(bin, 'node');
    const exact = execFileSync(node, ['--version'], { encoding: 'utf8' }).trim();
    console.log(`\nNode ${exact}: ${files.length} files of tests that need no native module`);
    const more = process.argv.slice(2).map((argument) => argument.replaceAll('{node}', version));
    const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs');
    const { status } = spawnSync(node, [vitest, 'run', ...groupsFor(version), ...files, ...more], {
      cwd: root,
      stdio: 'inherit',
      env: { ...process.env, PATH: `${bin}${delimiter}${process.env.PATH}` },
    });
    return status ?? 1;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Half of the time goes into long runs; what differs between versions of Node shows elsewhere just as well. */
function groupsFor(version: string): string[] {
  const brief = (process.env.OHMEST_BRIEF_ON ?? '').split(',').filter((one) => VERSIONS.includes(one));
  const place = brief.indexOf(version);
  if (place < 0) return ['--project', 'core', '--project', 'long'];
  return ['--project', 'core', `--shard=${place + 1}/${2 * brief.length}`];
}

const files = nativeFreeTests();
process.exitCode = Math.max(...VERSIONS.map((version) => runOn(version, files)));
