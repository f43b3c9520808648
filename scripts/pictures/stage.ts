import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const MAIN = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
const CLAIM = '90 W, 8 ohm, 1 % THD+N, 1 kHz, 2 channels';

/** What the pictures of the guide are taken of: pages of runs on simulated benches, and servers for as long as they are needed. */
export interface Stage {
  /** Address of the report of a run with a claim. */
  readonly report: string;
  /** Starts a second run, with a live page; its address. */
  live(): Promise<string>;
  /** Compares the unit of the run that was live with another; the address of the page. */
  comparison(): Promise<string>;
  /** Starts to serve the database; its address. */
  browse(): Promise<string>;
  close(): Promise<void>;
}

function startOhmest(cwd: string, args: readonly string[]) {
  const child = spawn(process.execPath, [MAIN, ...args], { cwd, stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  for (const stream of [child.stdout, child.stderr])
    stream.setEncoding('utf8').on('data', (text: string) => {
      said += text;
      child.emit('said', said);
    });
  const ended = new Promise<void>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (status) => (status === 0 ? resolve() : reject(new Error(said))));
  });
  return { child, ended };
}

/** The address that a program prints; fails when it ends without one. */
function addressOf({ child, ended }: ReturnType<typeof startOhmest>): Promise<string> {
  return new Promise((resolve, reject) => {
    // Once the address is there the promise is kept: how the server ends does not matter any more.
    ended.catch(reject);
    child.on('said', (said: string) => {
      const [url] = /http:\/\/127\.0\.0\.1:\d+\/\S+/.exec(said) ?? [];
      if (url) resolve(url);
    });
  });
}

/** Makes the first run and its report, which takes half a minute. The program must have been built. */
export async function setStage(): Promise<Stage> {
  const cwd = mkdtempSync(join(tmpdir(), 'ohmest-pictures-'));
  const children: ChildProcess[] = [];
  const begin = (...args: readonly string[]) => {
    const begun = startOhmest(cwd, args);
    children.push(begun.child);
    return begun;
  };
  const run = (sequence: string, bench: string, unit: string, ...more: readonly string[]) =>
    begin('run', sequence, '--bench', bench, '--unit', unit, ...more);
  const page = (name: string) => pathToFileURL(join(cwd, name)).href;
  const [bookshelf, report] = ['Bookshelf amplifier', 'report.html'];
  await run('rated-power', 'stiff-pair', bookshelf, '--claim', CLAIM, '--report', report).ended;
  let live: ReturnType<typeof startOhmest> | undefined;
  return {
    report: page(report),
    live: () => {
      live = run('quick-look', 'stiff-pair', bookshelf, '--live');
      return addressOf(live);
    },
    comparison: async () => {
      await live!.ended;
      await run('quick-look', 'repaired-crossover', 'Repaired amplifier').ended;
      await begin('report', '2', '3', '-o', 'comparison.html').ended;
      return page('comparison.html');
    },
    browse: () => addressOf(begin('browse')),
    close: async () => {
      for (const child of children)
        if (child.exitCode === null && child.signalCode === null)
          await new Promise((done) => child.once('close', done).kill('SIGINT'));
      rmSync(cwd, { recursive: true, force: true });
    },
  };
}
