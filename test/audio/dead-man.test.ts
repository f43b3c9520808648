import { type ChildProcess, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { streamGeometry } from '../../src/bench/audio/stream-geometry.js';
import { audioSetup, sourceOf, withBench } from './bench-on.js';
import { Recorder } from './recorder.js';
import { Rig } from './rig.js';
import { until } from './until.js';

const PLAYER = fileURLToPath(new URL('player.mjs', import.meta.url));
/** A sink shows its monitor a block of up to 10 ms before that is due: the recorder's times may be that much early. */
const AHEAD_MS = 10;
/** Longest sound after losing the parent (or the host), from the project's contract. */
const LONGEST_MS = 250 - AHEAD_MS;
/** The last millisecond of a 10 ms raised cosine from 0.5 peaks at 0.012; a cut would show up to 0.5. */
const RAMP_PEAK = 0.02;
/** The player as a process of its own. */
class Player {
  readonly process: ChildProcess;
  said = '';

  constructor(rate_Hz: number) {
    this.process = spawn(process.execPath, [PLAYER, JSON.stringify(audioSetup({ rate_Hz }))], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    this.process.stdout!.on('data', (text) => {
      this.said += text;
    });
  }

  /** Process that holds the sound device; null before it plays. */
  get hostPid(): number | null {
    const pid = /playing (\d+)/.exec(this.said)?.[1];
    return pid ? Number(pid) : null;
  }

  async playing(): Promise<void> {
    await until('the player says something', () => this.said.includes('\n'));
    expect(this.said).toMatch(/^playing/);
  }

  async ended(): Promise<number | null> {
    await until('the player ends', () => this.process.exitCode !== null);
    return this.process.exitCode;
  }
}

/** False also for a process that has ended and only waits for its parent to take note. */
function alive(pid: number): boolean {
  try {
    const [state] = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]!;
    return state !== 'Z';
  } catch {
    return false;
  }
}

/** A player on a sound server of its own, and a recorder that hears it. */
class Stand {
  rig!: Rig;
  recorder!: Recorder;
  player!: Player;

  constructor(private readonly rate_Hz: number) {}

  async start(): Promise<void> {
    this.rig = new Rig({ rate_Hz: this.rate_Hz });
    this.recorder = new Recorder(this.rig, this.rate_Hz);
    this.player = new Player(this.rate_Hz);
    await this.player.playing();
    await until('the recorder hears the tone', () => this.recorder.silence_ms < 5);
  }

  stop(): void {
    for (const pid of [this.player.process.pid!, this.player.hostPid]) {
      if (pid !== null && alive(pid)) process.kill(pid, 'SIGKILL');
    }
    this.recorder.stop();
    this.rig.stop();
  }

  /** Sends a signal, waits for a lasting silence, and says how long the tone was heard after the signal. */
  async heardAfter(pid: number, signal: NodeJS.Signals): Promise<number> {
    const at_ms = performance.now();
    process.kill(pid, signal);
    await until('the tone has ended', () => this.recorder.silence_ms > 500);
    return this.recorder.lastHeard_ms - at_ms;
  }
}

describe.each([44_100, 48_000, 192_000])('a tone at %i Hz is silent within 250 ms', (rate_Hz) => {
  const stand = new Stand(rate_Hz);
  beforeEach(() => stand.start());
  afterEach(() => stand.stop());

  it('and faded out when the parent is killed, and the host ends too', async () => {
    const { hostPid } = stand.player;
    expect(await stand.heardAfter(stand.player.process.pid!, 'SIGKILL')).toBeLessThan(LONGEST_MS);
    expect(stand.recorder.lastPeak(1)).toBeLessThan(RAMP_PEAK);
    await until('the host has ended', () => !alive(hostPid!), 2000);
  });

  it('and faded out when the parent is stopped, which finds a fault when it goes on', async () => {
    expect(await stand.heardAfter(stand.player.process.pid!, 'SIGSTOP')).toBeLessThan(LONGEST_MS);
    expect(stand.recorder.lastPeak(1)).toBeLessThan(RAMP_PEAK);
    process.kill(stand.player.process.pid!, 'SIGCONT');
    expect(await stand.player.ended()).toBe(4);
    expect(stand.player.said).toMatch(/fault (DROPOUT|STOOD_STILL)/);
  });

  it('when the host is killed, which the parent calls by its name', async () => {
    expect(await stand.heardAfter(stand.player.hostPid!, 'SIGKILL')).toBeLessThan(LONGEST_MS);
    expect(await stand.player.ended()).toBe(4);
    expect(stand.player.said).toContain('fault CHILD_DIED');
  });

  it('when the host is stopped, which the parent finds stalled', async () => {
    expect(await stand.heardAfter(stand.player.hostPid!, 'SIGSTOP')).toBeLessThan(LONGEST_MS);
    expect(await stand.player.ended()).toBe(4);
    expect(stand.player.said).toContain('fault DEVICE_STALLED');
  });
});

/** Three of PortAudio's buffers hold what the driver has taken: no program can call that back. */
const driverBuffer_ms = (rate_Hz: number) => (3000 * streamGeometry(rate_Hz).bufferFrames) / rate_Hz;

describe.each([44_100, 192_000])('after a pause the tone at %i Hz does not come back', (rate_Hz) => {
  const stand = new Stand(rate_Hz);
  beforeEach(() => stand.start());
  afterEach(() => stand.stop());

  /** Lets a stopped process go on, waits for a lasting silence, and says how long the tone came back. */
  async function heardAgain(pid: number): Promise<number> {
    const before_ms = stand.recorder.lastHeard_ms;
    const at_ms = performance.now();
    process.kill(pid, 'SIGCONT');
    await until('the host has ended', () => !alive(stand.player.hostPid!), 2000);
    await until(
      'all is silent',
      () => stand.recorder.recorded_ms > at_ms + 500 && stand.recorder.silence_ms > 300,
    );
    const last_ms = stand.recorder.lastHeard_ms;
    return last_ms > before_ms + 1 ? last_ms - at_ms : 0;
  }

  it('when host and parent were stopped, as in a sleep of the computer', async () => {
    const { player } = stand;
    process.kill(player.process.pid!, 'SIGSTOP');
    expect(await stand.heardAfter(player.hostPid!, 'SIGSTOP')).toBeLessThan(LONGEST_MS);
    expect(await heardAgain(player.hostPid!)).toBeLessThan(driverBuffer_ms(rate_Hz));
    process.kill(player.process.pid!, 'SIGCONT');
    expect(await player.ended()).toBe(4);
    expect(player.said).toMatch(/fault (STOOD_STILL|CHILD_DIED)/);
  });

  it('when the host was stopped and its parent killed', async () => {
    const { player } = stand;
    // The parent would end a host that is stopped for long.
    process.kill(player.process.pid!, 'SIGSTOP');
    await stand.heardAfter(player.hostPid!, 'SIGSTOP');
    process.kill(player.process.pid!, 'SIGKILL');
    expect(await heardAgain(player.hostPid!)).toBeLessThan(driverBuffer_ms(rate_Hz));
  });
});

describe('a play that is ended by its listener', () => {
  it('fades out within 250 ms and stays silent', async () => {
    const rig = new Rig();
    const recorder = new Recorder(rig);
    try {
      await withBench({}, async (bench) => {
        const tone = sourceOf(2, (_, frame) => 0.5 * Math.sin(0.13 * frame));
        let ended_ms = 0;
        for await (const block of bench.play(tone)) {
          if (block.start < 24_000) continue;
          ended_ms = performance.now();
          break;
        }
        expect(performance.now() - ended_ms).toBeLessThan(LONGEST_MS);
        await until('the tone has ended', () => recorder.silence_ms > 500);
        expect(recorder.lastHeard_ms - ended_ms).toBeLessThan(LONGEST_MS);
        expect(recorder.lastPeak(1)).toBeLessThan(RAMP_PEAK);
      });
    } finally {
      recorder.stop();
      rig.stop();
    }
  });
});
