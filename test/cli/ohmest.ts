import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll } from 'vitest';

/** The compiled program: `npm test` builds it first. */
export const MAIN = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
const folders: string[] = [];
const children: ChildProcess[] = [];

afterAll(() => {
  for (const child of children)
    if (child.exitCode === null && child.signalCode === null) child.kill('SIGKILL');
  for (const folder of folders)
    for (const made of [folder, `${folder}.state`]) rmSync(made, { recursive: true, force: true });
});

/** A new empty folder, removed after the file's tests. */
export function emptyFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-cli-'));
  folders.push(folder);
  return folder;
}

export interface Ended {
  readonly status: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly stdout: string;
  readonly stderr: string;
}

export interface Surroundings {
  /** Working folder; a new empty one when left out. */
  readonly cwd?: string;
  /** What standard input holds before it ends; null leaves it open for the test to write to. */
  readonly input?: string | null;
  readonly env?: NodeJS.ProcessEnv;
}

/** Starts ohmest and hands out its process while it runs. */
export function start(
  args: readonly string[],
  { cwd = emptyFolder(), input = '', env = {} }: Surroundings = {},
): { readonly child: ChildProcess; readonly ended: Promise<Ended> } {
  // What outlasts a database stays with the folder of the test.
  const state = { XDG_STATE_HOME: `${cwd}.state` };
  const child = spawn(process.execPath, [MAIN, ...args], { cwd, env: { ...process.env, ...state, ...env } });
  children.push(child);
  const output = { stdout: '', stderr: '' };
  for (const name of ['stdout', 'stderr'] as const)
    child[name].setEncoding('utf8').on('data', (text: string) => {
      output[name] += text;
    });
  // A program that ends without reading its input breaks the pipe: no matter.
  child.stdin.on('error', () => {});
  if (input !== null) child.stdin.end(input);
  const ended = new Promise<Ended>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (status, signal) => resolve({ status, signal, ...output }));
  });
  return { child, ended };
}

/** Runs ohmest to its end. */
export function ohmest(args: readonly string[], surroundings: Surroundings = {}): Promise<Ended> {
  return start(args, surroundings).ended;
}

/** Writes files into a folder, by name. */
export function put(folder: string, files: Readonly<Record<string, string | Uint8Array>>): void {
  for (const [name, content] of Object.entries(files)) writeFileSync(join(folder, name), content);
}

/** Names of what is in a folder, but for the log of a run. */
export function filesIn(folder: string): string[] {
  return readdirSync(folder)
    .filter((name) => !name.endsWith('.log'))
    .sort();
}
