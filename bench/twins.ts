import { readdirSync, readFileSync } from 'node:fs';
import { readTwin } from '../src/bench/simulated/twin-file.js';
import { toneSource } from '../src/stimulus/tone-source.js';
import { TwinStand } from '../test/bench/simulated/twin-stand.js';

const folder = new URL('../benches/twins/', import.meta.url);
const RATE_HZ = 48_000;
const SIGNAL_S = 4;
const ROUNDS = 5;

/** Input peak that brings a twin near its clipping point, by name of its file; 2 V where nothing is said. */
const DRIVE_VPK: Readonly<Record<string, number>> = {
  'ideal-40': 2.06,
  'repaired-crossover': 1.05,
  'seven-shared': 1.25,
  'stiff-pair': 2.05,
  'switching-treble': 1.85,
};

/** Seconds of signal simulated in a second of wall time, the best of a few rounds. */
async function speed(name: string, yaml: string, channels: number): Promise<number> {
  const stand = await new TwinStand(yaml, { rate_Hz: RATE_HZ, channels }).connect(8);
  const tone = stand.tone(1000);
  const peaks = new Array<number>(channels).fill((DRIVE_VPK[name] ?? 2) / 10);
  const source = toneSource([{ at: 0, tone, peaks, rampFrames: 480 }], channels);
  const frames = (SIGNAL_S * RATE_HZ) / channels;
  let best = 0;
  for (let round = 0; round < ROUNDS; round += 1) {
    const began = performance.now();
    let played = 0;
    for await (const { start, channels: block } of stand.bench.play(source)) {
      played = start + block[0]!.length;
      if (played >= frames) break;
    }
    best = Math.max(best, played / RATE_HZ / ((performance.now() - began) / 1000));
  }
  return best;
}

/**
 * How fast each shipped twin runs, driven to about 1 % THD+N at 1 kHz and 48 kHz: with one channel and with
 * all it has (eight for a twin that serves any number). Figures are seconds of signal per second.
 */
export async function twinBench(): Promise<{ name: string; text: string; value: number }[]> {
  const results: { name: string; text: string; value: number }[] = [];
  const files = readdirSync(folder).filter((file) => file.endsWith('.yaml'));
  for (const file of files) {
    const name = file.replace('.yaml', '');
    const yaml = readFileSync(new URL(file, folder), 'utf8');
    const all = readTwin(yaml, file).channels ?? 8;
    for (const channels of [1, all]) {
      const value = await speed(name, yaml, channels);
      const text = `${value.toFixed(1)} s of signal per second`;
      results.push({
        name: `twin ${name}, ${channels === 1 ? 'mono' : `${channels} channels`}`,
        text,
        value,
      });
    }
  }
  return results;
}
