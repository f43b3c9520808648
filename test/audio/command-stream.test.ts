import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { StreamBench } from '../../src/bench/command/stream-bench.js';
import { commandSetup, fixture } from '../bench/command/command-setup.js';
import { benchContract } from '../bench/contract.js';
import { until } from './until.js';

const argv = fixture('streams-in-real-time', '{outputs}', '{inputs}', '{frames}', '{rate}');
const setup = commandSetup({ argv, channels: 3, energises: true, block_s: 0.02 });

benchContract('a program that streams to hardware', async () => ({ bench: new StreamBench(setup) }), {
  gain: 1,
  misfitRatio: 1e-6,
  gainTolerance: 1e-6,
  frequency_ppm: 1e-3,
  idleRatio: 1e-9,
  breakRatio: 5e-4,
  realTime: true,
});

describe('a program that plays in real time', () => {
  let folder: string;
  let log: string;
  let parent: ChildProcess;
  let said: string;

  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'ohmest-test-'));
    log = join(folder, 'played');
    said = '';
    const script = join(import.meta.dirname, '..', 'bench', 'command', 'fixtures', 'plays-a-stream.ts');
    parent = spawn(process.execPath, ['--import', 'tsx', script, log], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    parent.stdout!.on('data', (text) => {
      said += text;
    });
    await until('it plays', () => said.includes('playing'), 30_000);
  });
  afterEach(() => {
    parent.kill('SIGKILL');
    rmSync(folder, { recursive: true });
  });

  const blocks = () =>
    readFileSync(log, 'utf8')
      .trim()
      .split('\n')
      .map((line) => line.split(' ').map(Number) as [at_ms: number, peak: number]);

  /** Longest sound: 200 ms on the way, a block that is played to its end and one that fades, and what a busy machine adds. */
  const LONGEST_MS = 250;

  it.each(['SIGKILL', 'SIGSTOP'] as const)('fades out within 250 ms when ohmest gets %s', async (signal) => {
    const at_ms = Date.now();
    parent.kill(signal);
    await until('the last block is played', () => blocks().at(-1)![1] === 0);
    const [last_ms] = blocks().at(-1)!;
    expect(last_ms + 10 - at_ms).toBeLessThan(LONGEST_MS);
    if (signal === 'SIGKILL') return;
    await until('nothing plays any more', () => Date.now() - last_ms > 700);
    parent.kill('SIGCONT');
    await until('it ends', () => parent.exitCode !== null);
    expect(said).toMatch(/fault (STOOD_STILL|DROPOUT)/);
    expect(parent.exitCode).toBe(4);
    expect(blocks().at(-1)![0]).toBe(last_ms);
  });
});
