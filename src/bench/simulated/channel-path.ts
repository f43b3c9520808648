import { Bending } from './bending.js';
import { CLIPPER_DELAY, Clipper } from './clipper.js';
import { type Draw, drawStill, type OutputLimits } from './draw.js';
import type { DummyLoad } from './dummy-load.js';
import { Coupling } from './first-order.js';
import { WhiteNoise } from './noise.js';
import { hasMemory, NETWORK_DELAY, type NetworkParts, OutputNetwork } from './output-network.js';
import { DownSampler, doublings, UpSampler } from './oversampling.js';
import { SLEW_DELAY } from './slew-limiter.js';
import type { ChannelTwin } from './twin.js';
import { subtract } from './wave-arithmetic.js';

/**
 * After so long without a signal a channel is taken as idle: nothing but noise and offset is left in its filters.
 */
const IDLE_AFTER_S = 0.05;

/**
 * One amplifier channel from input volts to load volts.
 *
 * What the channel would give if it were ideal (its input times its gain) goes straight to the output,
 * delayed. Only the difference between that and what the non-linear stages make of it is worked out at
 * the higher rate and brought down again, so a channel that does nothing wrong is exact, and the filters
 * of the way down act on distortion only.
 *
 * A channel without a signal has no distortion that could fold, so its noise and offset go through the bending
 * stages at the bench's own rate. Its filters stand still meanwhile and hold noise from before.
 */
export class ChannelPath {
  /** Frames between input and output. */
  readonly delay: number;
  private readonly twin: ChannelTwin;
  private readonly load: DummyLoad;
  private readonly ratio: number;
  private readonly coupling: Coupling | null;
  private readonly noise: WhiteNoise | null;
  private readonly bending: Bending;
  private readonly clipper: Clipper;
  private readonly network: OutputNetwork | null;
  private networkLoad_ohm: number;
  /** What the output stage drives, the share of a rail less its drop that reaches it, and the current limit in volts. */
  private loop_ohm = 0;
  private reach = 1;
  private currentLimit_V = 0;
  private readonly up: UpSampler;
  private readonly down: DownSampler;
  private readonly idleAfter: number;
  private silentFrames = 0;
  private idle = false;
  /** Samples of the higher rate by which the stages delay, and those added to make whole frames. */
  private readonly stageDelay: number;
  private readonly padding: number;
  /**
   * Each begins with what is left of the stretch before: the ideal wave, raised, and as the stages leave it. The last two
   * keep `padding` samples more, which delays what is made of them; in the wave the clipper's input begins at `entry`.
   */
  private readonly ideal: Float64Array;
  private readonly reference: Float64Array;
  private readonly wave: Float64Array;
  private readonly entry: number;
  private readonly lowered: Float64Array;
  /** A whole stretch of the ideal wave that has just come in. */
  private readonly fresh: Float64Array;

  constructor(twin: ChannelTwin, load: DummyLoad, rate_Hz: number, mostFrames: number, seed: number) {
    this.twin = twin;
    this.load = load;
    // By shifting: an index that descends from a power is a fractional number to the compiler, and is checked at each use.
    this.ratio = 1 << doublings(rate_Hz);
    const overRate_Hz = rate_Hz * this.ratio;
    const { output } = twin;
    this.coupling = twin.coupling_Hz > 0 ? new Coupling(twin.coupling_Hz, rate_Hz) : null;
    this.noise = twin.noise_V > 0 ? new WhiteNoise(twin.noise_V, rate_Hz, seed) : null;
    this.bending = new Bending(twin, overRate_Hz);
    // A filter shapes noise, so it is never left standing.
    this.idleAfter = output.filter ? Number.POSITIVE_INFINITY : IDLE_AFTER_S * rate_Hz;
    this.clipper = new Clipper(output.softness);
    this.networkLoad_ohm = load.ohm;
    this.network = hasMemory(this.networkParts())
      ? new OutputNetwork(this.networkParts(), overRate_Hz)
      : null;
    this.up = new UpSampler(rate_Hz, mostFrames);
    this.down = new DownSampler(rate_Hz, mostFrames);
    this.stageDelay = this.bending.delay + CLIPPER_DELAY + (this.network ? NETWORK_DELAY : 0);
    const filters = this.up.delay + this.down.delay;
    // Channels keep in step whatever stages they have.
    const mostStageDelay = SLEW_DELAY + CLIPPER_DELAY + NETWORK_DELAY;
    this.delay = Math.ceil((filters + mostStageDelay) / this.ratio) | 0;
    this.padding = this.delay * this.ratio - filters - this.stageDelay;
    const mostSamples = mostFrames * this.ratio;
    this.ideal = new Float64Array(this.delay + mostFrames);
    this.fresh = this.ideal.subarray(this.delay);
    this.entry = this.padding + CLIPPER_DELAY;
    this.wave = new Float64Array(this.entry + mostSamples);
    this.reference = new Float64Array(this.padding + this.stageDelay + mostSamples);
    this.lowered = new Float64Array(mostFrames);
    this.warm(1);
  }

  /**
   * Takes input volts and makes the wave that the stages will work on.
   *
   * @param drift factor on the gain
   * @param dc_V added at the output
   * @param silent nothing is played into the channel: its input is noise
   */
  take(input: Float64Array, frames: number, drift: number, dc_V: number, silent: boolean): void {
    const { ideal, delay, up, reference, wave, entry, bending } = this;
    const fresh = this.fresh.length === frames ? this.fresh : ideal.subarray(delay, delay + frames);
    for (let i = 0; i < frames; i += 1) fresh[i] = input[i]!;
    this.coupling?.process(fresh, frames);
    this.noise?.addTo(fresh, frames);
    const gain = this.twin.gain * drift;
    const offset_V = this.twin.output.offset_V + dc_V;
    for (let i = 0; i < frames; i += 1) fresh[i] = fresh[i]! * gain + offset_V;
    this.silentFrames = silent && dc_V === 0 ? this.silentFrames + frames : 0;
    this.idle = this.silentFrames > this.idleAfter;
    if (this.idle) return;
    up.input.set(fresh, up.past);
    const raised = this.padding + this.stageDelay;
    up.process(reference, raised, frames);
    const samples = frames * this.ratio;
    bending.process(reference, raised, wave, entry, samples);
  }

  /**
   * Runs frames `from` to `to` of the taken stretch through the output stage.
   *
   * @param rails_V from rail to rail
   * @param draw what that took is added to it
   */
  run(from: number, to: number, limits: OutputLimits, rails_V: number, draw: Draw): void {
    if (this.idle) {
      drawStill(draw, to - from, this.bending.still(this.ideal[this.delay + from]!), this.loop_ohm);
      return;
    }
    const { clipper, ratio, entry } = this;
    clipper.process(this.wave, entry + from * ratio, entry + to * ratio, limits);
    this.account(to - from, rails_V, draw);
  }

  /** Draws what the clipper has just let through. */
  private account(frames: number, rails_V: number, draw: Draw): void {
    const { sum, magnitude, square } = this.clipper;
    const { output } = this.twin;
    const ohm = this.loop_ohm;
    const scale = 1 / this.ratio;
    if (output.kind === 'linear') {
      // The upper half carries what flows out, the lower half what flows in.
      draw.positive_A += (scale * (magnitude + sum)) / (2 * ohm);
      draw.negative_A += (scale * (magnitude - sum)) / (2 * ohm);
    } else {
      // A switching stage takes its output power, and what its switches lose, from both rails alike.
      const taken_W = (scale * square * (1 + output.onResistance_ohm / ohm)) / ohm;
      const perRail_A = taken_W / (rails_V || 1);
      draw.positive_A += perRail_A;
      draw.negative_A += perRail_A;
    }
    draw.frames += frames;
    draw.voltage_V += scale * sum;
    draw.square_A2 += (scale * square) / (ohm * ohm);
    draw.power_W += (scale * square) / ohm;
  }

  /** Writes load volts for the taken stretch. */
  give(output: Float64Array, frames: number): void {
    if (this.idle) this.giveIdle(output, frames);
    else this.giveAll(output, frames);
    this.ideal.copyWithin(0, frames, frames + this.delay);
  }

  private giveIdle(output: Float64Array, frames: number): void {
    const { ideal, share } = this;
    for (let i = 0; i < frames; i += 1) output[i] = share * this.bending.still(ideal[i]!);
  }

  private giveAll(output: Float64Array, frames: number): void {
    const { wave, reference, down, lowered, ideal, padding } = this;
    const samples = frames * this.ratio;
    this.network?.process(wave, padding, padding + samples);
    const { input, past } = down;
    subtract(wave, reference, input, past, samples);
    down.process(lowered, frames);
    const share = this.network ? 1 : this.share;
    for (let i = 0; i < frames; i += 1) output[i] = share * (ideal[i]! + lowered[i]!);
    wave.copyWithin(0, samples, samples + this.entry);
    reference.copyWithin(0, samples, samples + padding + this.stageDelay);
  }

  /** Share of the output stage's volts that a resistive load gets. */
  get share(): number {
    return this.load.ohm / this.loop_ohm;
  }

  /** Lets everything that depends on a temperature follow it. */
  warm(quiescent: number): void {
    const { crossover, output } = this.twin;
    this.loop_ohm = this.load.ohm + output.resistance_ohm;
    this.reach = this.loop_ohm / (this.loop_ohm + output.onResistance_ohm);
    this.currentLimit_V = output.currentLimit_A * this.loop_ohm;
    if (crossover) this.bending.soften(crossover.softness_A * quiescent * this.load.ohm);
    // A new matrix exponential for every breath of the load would cost more than it tells.
    if (this.network && Math.abs(this.load.ohm / this.networkLoad_ohm - 1) > 1e-5) {
      this.networkLoad_ohm = this.load.ohm;
      this.network.change(this.networkParts());
    }
  }

  /** Highest and lowest output for given rails: drop, on-resistance and current limit taken off. */
  highest(rail_V: number): number {
    const { output } = this.twin;
    return Math.max(0, Math.min((rail_V - output.drop_V) * this.reach, this.currentLimit_V));
  }

  lowest(rail_V: number): number {
    const { output } = this.twin;
    return -Math.max(0, Math.min((rail_V - output.negativeDrop_V) * this.reach, this.currentLimit_V));
  }

  /** Makes `limits` go on from where they ended, over the coming frames, to what the rails allow now. */
  aim(limits: OutputLimits, positive_V: number, negative_V: number, frames: number): void {
    limits.high += limits.highStep * limits.samples;
    limits.low += limits.lowStep * limits.samples;
    limits.samples = frames * this.ratio;
    limits.highStep = (this.highest(positive_V) - limits.high) / limits.samples;
    limits.lowStep = (this.lowest(negative_V) - limits.low) / limits.samples;
  }

  private networkParts(): NetworkParts {
    return {
      filter: this.twin.output.filter,
      seriesResistance_ohm: this.twin.output.resistance_ohm,
      load_ohm: this.load.ohm,
      loadInductance_H: this.load.inductance_H,
    };
  }
}
