import type { LoadFault } from '../../src/bench/simulated/dummy-load.js';
import { drifting } from './drifting.js';
import { bent, doubled, dropped, frozen, type Harm, humming } from './harm.js';
import type { HarmedBench } from './harmed-bench.js';
import { CEILING, CLIMB, SEQUENCE } from './harmed-setup.js';
import type { SimulatedFault } from './simulated-fault.js';

type Harming = NonNullable<SimulatedFault['harm']>;
type Showing = NonNullable<SimulatedFault['shows']>;

const between = (random: () => number, low: number, high: number) => low + (high - low) * random();
/** Within the next block, at any sample. */
const soon = (bench: HarmedBench, random: () => number) => bench.captured + Math.floor(2048 * random());

/** Digital level (rms) of a tone of about 5 W, and of one that only a search for the gain plays. */
const LEVEL = 0.07;
const FAINT = LEVEL / 20;
/** Whatever is played, a fault of these must end it. */
const ANY = [SEQUENCE, CLIMB, CEILING];
/** What changes between two frequencies, of which the second was never played before, looks like the unit's own response. */
const UNPLAYED =
  'a change that comes between two frequencies, the second of which was not played before, looks like the response of the unit; from the first setting on that is played again every reading carries a flag';

const samples =
  (make: (from: number, random: () => number) => Harm): Harming =>
  (bench, _, random) =>
    bench.harm(make(soon(bench, random), random));

const load =
  (fault: LoadFault): Harming =>
  (bench, unit) => {
    unit.miswire({ loads: new Map([[1, fault]]) });
    bench.harmedFromNow();
  };

/** An output that gives less than a tenth of what it gave although the same or more is played. */
const silent: Showing = (now, before) =>
  now.played[0]! > 0.5 * before.played[0]! && now.channels[0]! < 0.1 * before.channels[0]!;
/** Any tone that is far weaker than what the same drive would have given. */
const lower: Showing = (now, before) =>
  now.channels[0]! / now.played[0]! < 0.5 * (before.channels[0]! / before.played[0]!);
const currentless: Showing = (now, before) =>
  now.played[0]! > 0.5 * before.played[0]! && now.currents[0]! < 0.01 * before.currents[0]!;

/** Faults that come about on the simulated bench. What the tap sees is a thirtieth of an input's full scale per volt at the load. */
export const SIMULATED_FAULTS: readonly SimulatedFault[] = [
  {
    name: 'dropped-block',
    words: 'a block of 1 to 1024 samples is lost on its way in',
    ends: ['completed'],
    harm: samples((from, random) => dropped(from, Math.ceil(between(random, 0, 1024)))),
  },
  {
    name: 'doubled-block',
    words: 'a block of 1 to 1024 samples comes in twice',
    ends: ['completed'],
    harm: samples((from, random) => doubled(from, Math.ceil(between(random, 0, 1024)))),
  },
  {
    name: 'clock-drift',
    words: 'from one sample on the capturing clock runs 200 ppm slow or fast',
    ends: ['completed'],
    harm: samples((from, random) => drifting(from, random() < 0.5 ? -200e-6 : 200e-6)),
  },
  {
    name: 'converter-clipping',
    from: LEVEL,
    words: "the input's gain jumps by so much that the converter meets its rails",
    ends: ['tripped'],
    harm: samples((from, random) => {
      const gain = between(random, 8, 40);
      return bent(from, 0, (sample) => Math.max(-1, Math.min(1, gain * sample)));
    }),
  },
  {
    name: 'dc-step',
    words: '2 to 20 V of DC stand at a load all at once',
    ends: ['tripped'],
    harm: samples((from, random) => {
      const dc = between(random, 2, 20) / 100;
      return bent(from, 0, (sample) => Math.max(-1, Math.min(1, sample + dc)));
    }),
  },
  {
    name: 'capture-frozen',
    words: 'the same block comes in again and again',
    from: FAINT,
    sequences: ANY,
    ends: ['fault'],
    harm: samples((from) => frozen(from, 0)),
  },
  {
    name: 'not-a-number',
    words: 'a sample comes in that is not a number',
    sequences: ANY,
    ends: ['fault'],
    harm: samples((from) => bent(from, 0, () => Number.NaN)),
  },
  {
    name: 'input-dead',
    words: 'an input gives nothing but zeros',
    from: FAINT,
    sequences: ANY,
    ends: ['tripped'],
    harm: samples((from) => bent(from, 0, () => 0)),
    nothingTrue: true,
  },
  {
    name: 'gain-jump',
    words: 'the gain jumps up by 13 to 26 dB',
    from: FAINT,
    sequences: ANY,
    ends: ['tripped'],
    harm: samples((from, random) => {
      const gain = between(random, 4.5, 20);
      return bent(from, 0, (sample) => Math.max(-1, Math.min(1, gain * sample)));
    }),
  },
  {
    name: 'stuck-at-rail',
    words: 'an output stays at its rail',
    from: FAINT,
    sequences: ANY,
    ends: ['tripped'],
    harm: samples((from) => bent(from, 0, () => 0.45)),
    nothingTrue: true,
  },
  {
    name: 'gain-halved',
    words: 'from one sample on an input shows half of what is there',
    from: LEVEL,
    ends: ['completed'],
    harm: samples((from) => bent(from, 0, (sample) => sample / 2)),
    limit: { misses: 'wrong', why: UNPLAYED },
  },
  {
    name: 'hum',
    words: 'from one sample on a hum of 50 Hz, or a tone from elsewhere, comes in with the rest',
    from: LEVEL,
    ends: ['completed'],
    harm: samples((from, random) => humming(from, 0, 5e-4, random() < 0.5 ? 50 / 48_000 : 0.0677)),
    limit: { misses: 'wrong', why: UNPLAYED },
  },
  {
    name: 'load-shorted',
    words: 'a load is shorted while a level is played: in a sweep, a hold, a climb, a maximum-power search',
    from: LEVEL,
    sequences: ANY,
    ends: ['tripped'],
    harm: load('short'),
    shows: silent,
    nothingTrue: true,
  },
  {
    name: 'load-shorted-before',
    words: 'a load is shorted in a silence, or while the gain is found with a weak tone',
    upTo: FAINT,
    ends: ['tripped', 'completed'],
    harm: load('short'),
    shows: lower,
    nothingTrue: true,
    limit: {
      misses: 'silence',
      why: 'behind the 0.03 ohm of this unit a short leaves 9 dB less gain, which from one step to the next a unit may have: without a current shunt the run goes on, or trips once the level rises; its readings carry a flag',
    },
  },
  {
    name: 'load-opened',
    words: 'a load with a current shunt comes off',
    ends: ['completed'],
    stand: () => ({ shunts: 'seen' }),
    harm: load('open'),
    shows: currentless,
    nothingTrue: true,
  },
  {
    name: 'load-opened-unseen',
    words: 'a load without a current shunt comes off',
    ends: ['completed'],
    stand: () => ({ shunts: 'hidden' }),
    harm: load('open'),
    shows: currentless,
    nothingTrue: true,
    limit: {
      misses: 'wrong',
      why: 'the voltage at the load stays as it was, to 0.03 dB, which only a hold can tell, where nothing else changes: from there on every reading carries a flag; in a sweep, a climb or a maximum-power search only a current shunt can tell',
    },
  },
  {
    name: 'relay-opening',
    words: "the unit's relay opens on too much current",
    ends: ['tripped'],
    stand: (random) => ({
      twin: `protection: {current: ${between(random, 1.62, 1.9).toFixed(3)} A, current_time: ${between(random, 0.1, 0.8).toFixed(2)} s, recloses_after: 4 s}\n`,
    }),
    shows: silent,
  },
  {
    name: 'thermal-shutdown',
    words: "the unit's heatsink becomes too warm, and it shuts down",
    ends: ['tripped'],
    stand: (random) => ({
      twin: `heat: {ambient: 25 degC, resistance: 1 K/W, time: 10 s, shutdown: ${between(random, 30, 40).toFixed(1)} degC}\n`,
    }),
    shows: silent,
  },
];
