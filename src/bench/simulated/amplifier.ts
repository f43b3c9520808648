import type { ChannelPath } from './channel-path.js';
import { type Draw, drawStill, emptyDraw, type OutputLimits } from './draw.js';
import type { DummyLoad } from './dummy-load.js';
import { Heatsink } from './heatsink.js';
import { Protection } from './protection.js';
import { makeSupply, type Supply } from './supply.js';
import { channelTwin, type Twin } from './twin.js';

/** Length of a step of the rails: short against half a cycle of 1 kHz, long enough that stepping costs little. */
const RAIL_STEP_S = 80e-6;

/** Heat, relay and faults are looked at this often while nothing plays. */
const REST_STEP_S = 0.25;

/** One channel as it is connected now. */
export interface Connected {
  readonly path: ChannelPath;
  readonly load: DummyLoad;
}

/**
 * The unit: any number of channels on one supply, one heatsink and one relay.
 *
 * The rails move in short steps, after all channels have run through one, and the limits run straight from
 * where the step before left the rails to where this one does. So the sag follows the signal by one step, where
 * a reservoir takes milliseconds. Heat, relay and load temperature move once a stretch.
 */
export class Amplifier {
  private readonly twin: Twin;
  private readonly rate_Hz: number;
  private readonly stepFrames: number;
  private readonly supply: Supply;
  private readonly heatsink: Heatsink;
  private readonly protection: Protection;
  private readonly draws: Draw[];
  private readonly limits: OutputLimits[];
  private readonly hum: Float64Array;
  private channels: readonly Connected[] = [];
  private age_s = 0;
  private faulty = false;

  constructor(twin: Twin, channels: number, rate_Hz: number, mostFrames: number) {
    this.twin = twin;
    this.rate_Hz = rate_Hz;
    this.stepFrames = Math.max(1, Math.round(RAIL_STEP_S * rate_Hz));
    this.supply = makeSupply(twin.supply);
    this.heatsink = new Heatsink(twin.heat);
    this.protection = new Protection(twin.protection, channels);
    this.draws = Array.from({ length: channels }, emptyDraw);
    this.limits = this.draws.map(() => ({ high: 0, low: 0, highStep: 0, lowStep: 0, samples: 0 }));
    this.hum = new Float64Array(mostFrames);
  }

  connect(channels: readonly Connected[]): void {
    this.channels = channels;
    const [positive_V, negative_V] = this.rails_V;
    this.limits.forEach((limits, i) => {
      limits.high = channels[i]!.path.highest(positive_V);
      limits.low = channels[i]!.path.lowest(negative_V);
      limits.samples = 0;
    });
  }

  /** Heatsink temperature, for tests and curiosity. */
  get temperature_C(): number {
    return this.heatsink.temperature_C;
  }

  /** Rails now, from the common. */
  get rails_V(): readonly [positive: number, negative: number] {
    return [this.supply.positive_V, this.supply.negative_V];
  }

  /** True while the outputs are cut off, by the relay or by heat. */
  get cutOff(): boolean {
    return this.protection.open || this.heatsink.shutDown;
  }

  /**
   * Turns `frames` of input volts into load volts, channel by channel, delayed by the paths' delay.
   *
   * @param silent channels whose input is nothing but noise
   */
  process(
    inputs: readonly Float64Array[],
    outputs: readonly Float64Array[],
    frames: number,
    silent: readonly boolean[],
  ): void {
    const { channels, heatsink } = this;
    channels.forEach(({ path }, i) => {
      path.warm(heatsink.quiescent);
      path.take(inputs[i]!, frames, heatsink.gain, this.fault_V(i), silent[i]!);
    });
    if (this.supply.stiff) this.runStiff(frames);
    else this.runSagging(frames);
    const off = this.cutOff;
    channels.forEach(({ path }, i) => {
      const output = outputs[i]!;
      path.give(output, frames);
      if (off) output.fill(0, 0, frames);
      else if (!this.supply.stiff) this.addHum(output, path.share, frames);
    });
    this.pass(frames / this.rate_Hz);
  }

  /** Ripple arrives behind the same resistance as the signal. */
  private addHum(output: Float64Array, share: number, frames: number): void {
    const { hum } = this;
    for (let n = 0; n < frames; n += 1) output[n] = output[n]! + share * hum[n]!;
  }

  /** Lets time pass without a signal. */
  rest(seconds: number): void {
    const steps = Math.ceil(seconds / REST_STEP_S);
    for (let step = 0; step < steps; step += 1) {
      this.channels.forEach(({ load }, i) => {
        const { output } = channelTwin(this.twin, i + 1);
        const ohm = load.ohm + output.resistance_ohm;
        const volts = output.offset_V + this.fault_V(i);
        drawStill(Object.assign(this.draws[i]!, EMPTY), 1, volts, ohm);
      });
      this.pass(seconds / steps);
    }
    this.supply.rest(seconds, this.quiescent_A);
  }

  private runStiff(frames: number): void {
    const { supply } = this;
    this.channels.forEach(({ path }, i) => {
      const limits = this.limits[i]!;
      limits.high = path.highest(supply.positive_V);
      limits.low = path.lowest(supply.negative_V);
      path.run(0, frames, limits, supply.positive_V + supply.negative_V, this.draws[i]!);
    });
  }

  private runSagging(frames: number): void {
    const { channels, limits, draws, supply, hum } = this;
    const idle_A = this.quiescent_A;
    const connected = this.cutOff ? 0 : 1;
    let positive_A = 0;
    let negative_A = 0;
    let hum_V = supply.hum_V;
    for (let from = 0; from < frames; from += this.stepFrames) {
      const to = Math.min(from + this.stepFrames, frames);
      const rails_V = supply.positive_V + supply.negative_V;
      let positiveSum_A = 0;
      let negativeSum_A = 0;
      for (let i = 0; i < channels.length; i += 1) {
        const { path } = channels[i]!;
        path.aim(limits[i]!, supply.positive_V, supply.negative_V, to - from);
        path.run(from, to, limits[i]!, rails_V, draws[i]!);
        positiveSum_A += draws[i]!.positive_A;
        negativeSum_A += draws[i]!.negative_A;
      }
      const share = connected / (to - from);
      supply.step(
        idle_A + share * (positiveSum_A - positive_A),
        idle_A + share * (negativeSum_A - negative_A),
        (to - from) / this.rate_Hz,
      );
      positive_A = positiveSum_A;
      negative_A = negativeSum_A;
      const humStep_V = (supply.hum_V - hum_V) / (to - from);
      for (let n = from; n < to; n += 1) {
        hum_V += humStep_V;
        hum[n] = hum_V;
      }
    }
  }

  /** Idle current of all channels from rail to rail. */
  private get quiescent_A(): number {
    const cold = this.channels.reduce(
      (sum, _, i) => sum + channelTwin(this.twin, i + 1).output.quiescent_A,
      0,
    );
    return cold * this.heatsink.quiescent;
  }

  private fault_V(index: number): number {
    return this.faulty && this.twin.dcFault?.channel === index + 1 ? this.twin.dcFault.voltage_V : 0;
  }

  /** Moves everything slow by the time over which `draws` were gathered, and empties them. */
  private pass(seconds: number): void {
    const { dcFault } = this.twin;
    const [positive_V, negative_V] = this.rails_V;
    let heat_W = this.quiescent_A * (positive_V + negative_V);
    const off = this.cutOff;
    this.channels.forEach(({ load }, i) => {
      const draw = this.draws[i]!;
      const share = off || draw.frames === 0 ? 0 : 1 / draw.frames;
      const drawn_W = draw.positive_A * positive_V + draw.negative_A * negative_V;
      heat_W += share * Math.max(0, drawn_W - draw.power_W);
      this.protection.weigh(i, share * draw.square_A2, off ? 0 : share * draw.voltage_V, seconds);
      load.pass(share * draw.square_A2 * load.ohm, seconds);
      Object.assign(draw, EMPTY);
    });
    this.protection.pass(seconds);
    this.heatsink.pass(heat_W, seconds);
    this.age_s += seconds;
    if (dcFault && (this.age_s >= dcFault.after_s || this.temperature_C >= dcFault.above_C)) {
      this.faulty = true;
    }
  }
}

const EMPTY = emptyDraw();
