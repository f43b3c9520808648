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
  /** Address of the comparison of two units. */
  readonly comparison: string;
  /** Starts a run with a live page; its address. */
  live(): Promise<string>;
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

/** Starts a server and waits for the address that it prints. */
async function serving(cwd: string, args: readonly string[], children: ChildProcess[]): Promise<string> {
  const { child, ended } = startOhmest(cwd, args);
  children.push(child);
  return new Promise((resolve, reject) => {
    // Once the address is there the promise is kept: how the server ends does not matter any more.
    ended.catch(reject);
    child.on('said', (said: string) => {
      const [url] = /http:\/\/127\.0\.0\.1:\d+\/\S+/.exec(said) ?? [];
      if (url) resolve(url);
    });
  });
}

/** Makes the runs and the pages, which takes a minute. The program must have been built. */
export async function setStage(): Promise<Stage> {
  const cwd = mkdtempSync(join(tmpdir(), 'ohmest-pictures-'));
  const children: ChildProcess[] = [];
  const ohmest = (...args: readonly string[]) => startOhmest(cwd, args).ended;
  const run = (sequence: string, bench: string, unit: string, ...more: readonly string[]) =>
    ohmest('run', sequence, '--bench', bench, '--unit', unit, ...more);
  await run('rated-power', 'stiff-pair', 'Bookshelf amplifier', '--claim', CLAIM, '--report', 'report.html');
  await run('quick-look', 'stiff-pair', 'Bookshelf amplifier');
  await run('quick-look', 'repaired-crossover', 'Repaired amplifier');
  await ohmest('report', '2', '3', '-o', 'comparison.html');
  const page = (name: string) => pathToFileURL(join(cwd, name)).href;
  const liveRun = ['run', 'quick-look', '--bench', 'stiff-pair', '--unit', 'Bookshelf amplifier', '--live'];
  return {
    report: page('report.html'),
    comparison: page('comparison.html'),
    live: () => serving(cwd, [...liveRun, '--db', 'live.db'], children),
    browse: () => serving(cwd, ['browse'], children),
    close: async () => {
      for (const child of children)
        if (child.exitCode === null && child.signalCode === null)
          await new Promise((done) => child.once('close', done).kill('SIGINT'));
      rmSync(cwd, { recursive: true, force: true });
    },
  };
}
