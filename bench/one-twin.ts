/**
 * The speed of one twin, as JSON: `one-twin.ts FILE CHANNELS`, file in `benches/twins`. In a process of its own, as in a run:
 * the compiler goes by what a process has seen, and after two dozen other twins it has seen too much.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Bench } from '../src/bench/bench.js';
import { readBench } from '../src/bench/bench-file.js';
import { openSimulated } from '../src/bench/simulated/open-simulated.js';
import { coherentTone } from '../src/signal/coherent-tone.js';
import { OUT_VPK, TwinStand } from '../test/bench/simulated/twin-stand.js';
import { toneSource } from '../test/signal/tone-source.js';
import type { TwinLine } from './twins.js';

const inRepo = (path: string) => fileURLToPath(new URL(`../${path}`, import.meta.url));
const RATE_HZ = 48_000;
const LOAD_OHM = 8;
const TONE_HZ = 1000;
const WANTED_THDN_PERCENT = 1;
/** Input peaks between which every shipped twin reaches 1 %, and the halvings that find where within 5 mV. */
const RANGE_VPK = [0.9, 3] as const;
const HALVINGS = 9;
/** Seconds of signal in a round, for all channels together, and at least. */
const SIGNAL_S = 8;
const LEAST_SIGNAL_S = 2;
const ROUNDS = 5;

/** Seconds of signal simulated in a second, the best of a few rounds, with every channel driven alike. */
interface Speed {
  readonly wall: number;
  /** By CPU time of all threads, which another program's work disturbs less. */
  readonly cpu: number;
}

async function speedOf(bench: Bench, peaks: readonly number[]): Promise<Speed> {
  const tone = coherentTone({ nominal_Hz: TONE_HZ, rate_Hz: bench.rate_Hz });
  const source = toneSource([{ at: 0, tone, peaks, rampFrames: 480 }], bench.channels);
  const frames = Math.max(SIGNAL_S / bench.channels, LEAST_SIGNAL_S) * bench.rate_Hz;
  const best = { wall: 0, cpu: 0 };
  for (let round = 0; round < ROUNDS; round += 1) {
    const [began, before] = [performance.now(), process.cpuUsage()];
    let played = 0;
    for await (const { start, channels } of bench.play(source)) {
      played = start + channels[0]!.length;
      if (played >= frames) break;
    }
    const { user, system } = process.cpuUsage(before);
    best.wall = Math.max(best.wall, played / bench.rate_Hz / ((performance.now() - began) / 1000));
    best.cpu = Math.max(best.cpu, played / bench.rate_Hz / ((user + system) / 1e6));
  }
  return best;
}

/** The input peak at which the first channel reads 1 % THD+N while all are driven alike, and what it reads there. */
async function atOnePercent(stand: TwinStand, channels: number): Promise<[peak_V: number, percent: number]> {
  const read = async (peak_V: number) => {
    const [first] = await stand.read(TONE_HZ, new Array<number>(channels).fill(peak_V));
    return first!.thdn_percent;
  };
  let [low, high] = RANGE_VPK as readonly [number, number];
  for (let n = 0; n < HALVINGS; n += 1) {
    const middle = (low + high) / 2;
    if ((await read(middle)) > WANTED_THDN_PERCENT) high = middle;
    else low = middle;
  }
  return [high, await read(high)];
}

/** A shipped twin on the bench that twins are tested on, without current shunts. */
async function onStand(file: string, channels: number): Promise<{ line: TwinLine; peak_V: number }> {
  const yaml = readFileSync(inRepo(`benches/twins/${file}`), 'utf8');
  const stand = await new TwinStand(yaml, { rate_Hz: RATE_HZ, channels }).connect(LOAD_OHM);
  const [peak_V, percent] = await atOnePercent(stand, channels);
  const speed = await speedOf(stand.bench, new Array<number>(channels).fill(peak_V / OUT_VPK));
  const name = `twin ${file.replace('.yaml', '')}, ${channels === 1 ? 'mono' : `${channels} channels`}`;
  return { line: { name, text: textOf(speed, percent), value: speed.wall }, peak_V };
}

/** The eight channels of `installed-eight` on the bench that ships with them, where every load has a current shunt. */
async function onItsBench(peak_V: number): Promise<TwinLine> {
  const file = inRepo('benches/installed-eight.yaml');
  const setup = readBench(readFileSync(file, 'utf8'), file);
  const bench = openSimulated(setup);
  await bench.open();
  await bench.configure({ load_ohm: LOAD_OHM, driven: setup.channels.map(({ channel }) => channel) });
  const speed = await speedOf(
    bench,
    setup.channels.map(({ outputFullScale_Vpk }) => peak_V / outputFullScale_Vpk),
  );
  return { name: 'the same, with current shunts', text: textOf(speed), value: speed.wall };
}

function textOf({ wall, cpu }: Speed, percent?: number): string {
  const level = percent === undefined ? '' : `, at ${percent.toFixed(1)} % THD+N`;
  return `${wall.toFixed(1)} s of signal per second, ${cpu.toFixed(1)} per second of CPU time${level}`;
}

const [file, count] = [process.argv[2]!, Number(process.argv[3])];
const { line, peak_V } = await onStand(file, count);
const lines = [line];
if (file === 'installed-eight.yaml' && count > 1) lines.push(await onItsBench(peak_V));
console.log(JSON.stringify(lines));
