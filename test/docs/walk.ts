import { type ChildProcess, spawn } from 'node:child_process';
import { chmodSync, cpSync, existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { emptyFolder, put } from '../cli/ohmest.js';
import { type CommandBlock, commandBlocks, PROJECT } from './command-blocks.js';
import { expectKnown } from './known-commands.js';

/** What a reader's copy of the project holds, as far as commands touch it. */
const SHIPPED = ['benches', 'sequences', 'calibration', 'package.json', 'README.md', 'docs'];

/**
 * Programs that stand before others on the path. ohmest is the compiled one, not one that npx would fetch; npm does no
 * more than check that the script exists, as running the tests out of a test would never end.
 */
const SHIMS = {
  ohmest: `#!/bin/sh\nexec '${process.execPath}' '${PROJECT}dist/cli/main.js' "$@"\n`,
  npx: '#!/bin/sh\n[ "$1" = ohmest ] || { echo "npx starts something else: $1" >&2; exit 127; }\nexec "$@"\n',
  npm: `#!/bin/sh
case "$1" in
  ci) exit 0 ;;
  test) name=test ;;
  run) name="$2" ;;
  *) echo "npm $1 is not looked up" >&2; exit 127 ;;
esac
exec '${process.execPath}' -e 'process.exit(process.argv[1] in require("./package.json").scripts ? 0 : 127)' "$name"
`,
};

const children: ChildProcess[] = [];

/** A folder like that of somebody who has just fetched the project. */
function readersFolder(): string {
  const folder = emptyFolder();
  for (const name of SHIPPED) cpSync(join(PROJECT, name), join(folder, name), { recursive: true });
  mkdirSync(join(folder, '.shims'));
  for (const [name, text] of Object.entries(SHIMS)) {
    writeFileSync(join(folder, '.shims', name), text);
    chmodSync(join(folder, '.shims', name), 0o755);
  }
  return folder;
}

/** Starts a command line in a shell, as a reader would. */
function startLine(line: string, cwd: string, answered: boolean) {
  const PATH = `${join(cwd, '.shims')}${delimiter}${process.env.PATH}`;
  // `exec` would not do for lines of two commands; a group of its own passes Ctrl-C on to all of it.
  const child = spawn('sh', ['-ec', line], {
    cwd,
    env: { ...process.env, PATH, NO_COLOR: '1', XDG_STATE_HOME: `${cwd}.state` },
    detached: true,
  });
  children.push(child);
  let said = '';
  for (const stream of [child.stdout, child.stderr])
    stream.setEncoding('utf8').on('data', (text: string) => {
      said += text;
      child.emit('said', said);
    });
  child.stdin.on('error', () => {});
  child.stdin.end(answered ? `Ada Example\n${'yes\n'.repeat(30)}` : '');
  const ended = new Promise<{ status: number | null; said: string }>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (status) => resolve({ status, said }));
  });
  return { child, ended };
}

/** Goes where a browser would end up: whoever has the token is sent on with a cookie. */
async function pageAt(address: string): Promise<string> {
  const door = await fetch(address, { redirect: 'manual' });
  const inside = new URL(door.headers.get('location')!, address);
  const cookie = door.headers.get('set-cookie')!.split(';')[0]!;
  const page = await fetch(inside, { headers: { cookie } });
  expect(page.status).toBe(200);
  return page.text();
}

/** Waits until a server says its address, has a page from it, and stops it as Ctrl-C does. */
async function visitAndStop({ child, ended }: ReturnType<typeof startLine>): Promise<void> {
  const address = new Promise<string>((resolve, reject) => {
    child.on('said', (said: string) => {
      const [url] = /http:\/\/127\.0\.0\.1:\d+\/\S*/.exec(said) ?? [];
      if (url) resolve(url);
    });
    void ended.then(({ said }) => reject(new Error(`it ended before it said where it serves: ${said}`)));
  });
  expect(await pageAt(await address)).toContain('</html>');
  process.kill(-child.pid!, 'SIGINT');
  await ended;
}

/** Follows a command, and tells what it printed: null where it was not run to its end. */
async function follow(line: string, { note }: CommandBlock, cwd: string): Promise<string | null> {
  if (note.onlyLookedUp !== null) {
    await expectKnown(line);
    return null;
  }
  const started = startLine(line, cwd, note.answered);
  if (note.untilStopped) {
    await visitAndStop(started);
    return null;
  }
  const { status, said } = await started.ended;
  expect(status, said).toBe(0);
  return said;
}

/**
 * Goes through pages as a reader would, in one folder: every command of every block fenced by `sh`, in order, must
 * end well.
 */
export function walkThrough(
  name: string,
  pages: readonly string[],
  files: Readonly<Record<string, string | Uint8Array>> = {},
): void {
  const blocks = pages.flatMap(commandBlocks);
  describe(`the commands of ${name}`, () => {
    let cwd = '';
    beforeAll(() => {
      cwd = readersFolder();
      put(cwd, files);
    });
    afterAll(() => {
      for (const child of children)
        if (child.exitCode === null && child.signalCode === null) process.kill(-child.pid!, 'SIGKILL');
    });

    it('are there', () => expect(blocks.length).toBeGreaterThan(0));

    for (const block of blocks) {
      const printed: (string | null)[] = [];
      for (const line of block.commands)
        it(`${block.page}:${block.line}: ${line}`, async () => {
          for (const { file, from } of block.note.standIns) {
            expect(existsSync(join(cwd, from)), `${from} does not exist`).toBe(true);
            cpSync(join(cwd, from), join(cwd, file));
          }
          printed.push(await follow(line, block, cwd));
        }, 300_000);
      // What npm would print is not known here: it is stood in for.
      if (block.note.onlyLookedUp === null && !block.commands.some((line) => line.startsWith('npm ')))
        for (const quote of block.quotes)
          it(`${block.page}:${block.line} prints what the page quotes`, () =>
            expect(printed.join('\n')).toContain(quote));
    }
  });
}
