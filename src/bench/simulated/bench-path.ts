import type { Wiring } from '../bench.js';
import type { BenchSetup } from '../bench-setup.js';
import { Amplifier } from './amplifier.js';
import { ChannelPath } from './channel-path.js';
import type { DummyLoad } from './dummy-load.js';
import { LoadCurrent } from './load-current.js';
import type { LoadRack } from './load-rack.js';
import { type ChannelCables, cablesOf, type Miswiring } from './miswiring.js';
import { type ChannelConverters, channelConverters, seedFor } from './sound-interface.js';
import { TerminalTrace } from './terminal-trace.js';
import { type TrueChain, trueChain } from './true-chain.js';
import { channelTwin, type Twin } from './twin.js';

/** Frames that are worked on at once: few enough to stay in the cache. */
const STRETCH_FRAMES = 128;

/** What came in, one array a bench channel. */
export interface Captured {
  readonly channels: Float64Array[];
  readonly currents: (Float64Array | null)[];
}

/** All between the codes that are played and the codes that are captured, as it is wired now. */
export class BenchPath {
  private readonly setup: BenchSetup;
  private readonly twin: Twin;
  private readonly rack: LoadRack;
  private readonly amplifier: Amplifier;
  private readonly converters: readonly ChannelConverters[];
  private readonly truths: readonly TrueChain[];
  /** Volts of a stretch, by channel: at output terminals, at what is fed, at loads, at inputs. */
  private readonly volts: readonly Float64Array[];
  private readonly fed: readonly Float64Array[];
  private readonly terminals: readonly Float64Array[];
  private readonly heard: Float64Array;
  private readonly silent: boolean[];
  private cables: readonly ChannelCables[];
  private loads: readonly DummyLoad[] = [];
  private loadCurrents: readonly LoadCurrent[] = [];
  private unitDelay = 0;
  private wiring: Wiring = 'unit';
  private traces: readonly Traces[] | null = null;

  constructor(setup: BenchSetup, twin: Twin, rack: LoadRack, seed: number) {
    const channels = setup.channels.length;
    const buffers = () => setup.channels.map(() => new Float64Array(STRETCH_FRAMES));
    this.setup = setup;
    this.twin = twin;
    this.rack = rack;
    this.amplifier = new Amplifier(twin, channels, setup.rate_Hz, STRETCH_FRAMES);
    this.converters = channelConverters(setup, twin, seed);
    this.truths = setup.channels.map((_, i) => trueChain(setup, twin, i + 1));
    this.volts = buffers();
    this.fed = buffers();
    this.terminals = buffers();
    this.heard = new Float64Array(STRETCH_FRAMES);
    this.silent = this.volts.map(() => false);
    this.cables = cablesOf({}, channels);
  }

  /** Frames between a code that is played and the code that answers to it. */
  get delay(): number {
    return this.wiring === 'unit' ? this.unitDelay : 0;
  }

  get temperature_C(): number {
    return this.amplifier.temperature_C;
  }

  /** Puts a load on every channel of the unit. @throws LoadNotOnBench */
  connect(load_ohm: number, seed: number): void {
    const { rate_Hz, channels } = this.setup;
    const loads = channels.map(({ channel }) => this.rack.load(channel, load_ohm));
    const paths = loads.map((load, i) => {
      const twin = channelTwin(this.twin, i + 1);
      return new ChannelPath(twin, load, rate_Hz, STRETCH_FRAMES, seedFor(seed, i, 3));
    });
    this.release();
    this.loads = loads;
    this.loadCurrents = loads.map((load) => new LoadCurrent(load, rate_Hz));
    this.hang();
    this.amplifier.connect(paths.map((path, i) => ({ path, load: loads[i]! })));
    this.unitDelay = paths[0]?.delay ?? 0;
  }

  wire(wiring: Wiring): void {
    this.wiring = wiring;
  }

  /** @throws RangeError naming a channel that the bench does not have */
  miswire(miswiring: Miswiring): void {
    this.cables = cablesOf(miswiring, this.setup.channels.length);
    this.hang();
  }

  /** Lets time pass in silence. */
  rest(seconds: number): void {
    this.amplifier.rest(seconds);
    this.rack.cool(seconds, this.loads);
  }

  /** Begins to remember what the terminals carry. */
  watch(): void {
    this.traces ??= this.setup.channels.map(() => ({
      output: new TerminalTrace(this.setup.rate_Hz),
      load: new TerminalTrace(this.setup.rate_Hz),
    }));
  }

  /** What the terminals of channel `index` (from 0) have carried since `watch`. */
  trace(index: number): Traces {
    this.watch();
    return this.traces![index]!;
  }

  /** Says that all terminals have fallen silent. */
  hush(): void {
    this.traces?.forEach(({ output, load }) => {
      output.clear();
      load.clear();
    });
  }

  /** Plays what was rendered and gives back as many captured frames. */
  pass(played: readonly Float64Array[]): Captured {
    const frames = played[0]?.length ?? 0;
    const channels = played.map(() => new Float64Array(frames));
    const currents = this.converters.map(({ current }) => (current ? new Float64Array(frames) : null));
    const energised = this.wiring === 'unit';
    for (let at = 0; at < frames; at += STRETCH_FRAMES) {
      const count = Math.min(STRETCH_FRAMES, frames - at);
      this.converters.forEach(({ output }, i) => {
        output.process(played[i]!, at, this.volts[i]!, count);
        const { dead } = this.cables[i]!;
        if (dead) this.fed[i]!.fill(0);
        else this.fed[i]!.set(this.volts[i]!);
        this.silent[i] = dead || isSilent(played[i]!, at, count);
        this.traces?.[i]?.output.add(this.volts[i]!, count);
      });
      if (energised) this.amplifier.process(this.fed, this.terminals, count, this.silent);
      else for (const volts of this.terminals) volts.fill(0);
      this.traces?.forEach(({ load }, i) => {
        load.add(this.terminals[i]!, count);
      });
      this.hear(channels, currents, at, count);
    }
    if (!energised) this.amplifier.rest(frames / this.setup.rate_Hz);
    this.rack.cool(frames / this.setup.rate_Hz, this.loads);
    return { channels, currents };
  }

  /** What the inputs make of a stretch. */
  private hear(
    channels: readonly Float64Array[],
    currents: readonly (Float64Array | null)[],
    at: number,
    count: number,
  ): void {
    const { heard, converters, wiring } = this;
    converters.forEach(({ input, current }, i) => {
      const { tap, loops, sign } = this.cables[i]!;
      const { attenuator_ratio, shunt_ohm } = this.truths[i]!;
      const factor = sign / (wiring === 'loop' ? 1 : attenuator_ratio);
      if (wiring === 'unit') copyScaled(this.terminals[tap]!, heard, factor, count);
      else {
        heard.fill(0);
        if (wiring !== 'open') for (const j of loops) addScaled(this.fed[j]!, heard, factor, count);
      }
      input.process(heard, channels[i]!, at, count);
      if (!current) return;
      this.loadCurrents[i]!.process(this.terminals[i]!, heard, shunt_ohm!, count);
      current.process(heard, currents[i]!, at, count);
    });
  }

  /** Gives every channel the load that it should have, or what is said to hang there instead. */
  private hang(): void {
    this.loads.forEach((load, i) => {
      load.replace(this.cables[i]!.load);
    });
  }

  private release(): void {
    for (const load of this.loads) load.replace(null);
  }
}

interface Traces {
  readonly output: TerminalTrace;
  readonly load: TerminalTrace;
}

function isSilent(codes: Float64Array, at: number, frames: number): boolean {
  for (let n = at; n < at + frames; n += 1) if (codes[n] !== 0) return false;
  return true;
}

function copyScaled(from: Float64Array, to: Float64Array, factor: number, frames: number): void {
  for (let n = 0; n < frames; n += 1) to[n] = factor * from[n]!;
}

function addScaled(from: Float64Array, to: Float64Array, factor: number, frames: number): void {
  for (let n = 0; n < frames; n += 1) to[n] = to[n]! + factor * from[n]!;
}
