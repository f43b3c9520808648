import { channelWords } from '../../sequence/driven-channels.js';
import { formatQuantity } from '../../units/format.js';

/** A phasor (peak) and what would be there without the tone. */
export interface HeardTone {
  readonly re: number;
  readonly im: number;
  readonly doubt: number;
}

/** What was heard while one channel alone played. */
export interface Listening {
  /** The channel that played, and its interface output. */
  readonly channel: number;
  readonly output_V: number;
  /** At the tap of each channel, in volts at the load. */
  readonly taps: ReadonlyMap<number, HeardTone>;
  /** Through the current shunt of each channel that has one, in amperes. */
  readonly currents: ReadonlyMap<number, HeardTone>;
}

/** What should be connected. */
export interface MeantWiring {
  /** Impedance at the tone of the load that is meant to hang on each channel. */
  readonly load_ohm: ReadonlyMap<number, number>;
  /** Nominal ohms of the step. */
  readonly nominal_ohm: number;
}

/** A tone counts as heard this far out of what is there without it. */
const CLEAR = 6;
/** A tap hears a channel when it gives at least this part of the one it hears best: crosstalk stays far below. */
const AS_LOUD = 0.1;
/** Less than this part of the loudest channel of all is crosstalk into a tap that is not connected. */
const LEAST_OF_ALL = 0.01;
/** A load that differs by more than this from what is meant is another load, or none, or a short. */
const WRONG_LOAD = 0.2;
const OPEN_FACTOR = 5;

const sizeOf = ({ re, im }: HeardTone): number => Math.hypot(re, im);

/** Whether a tone stands clear of what is there without it. */
export function isClear(heard: HeardTone): boolean {
  return sizeOf(heard) > CLEAR * heard.doubt;
}

/**
 * Everything that is wrongly connected, in plain words: channels that are swapped, dead or inverted, taps that sit at
 * another channel, channels that are joined; and where current is sensed, loads that are open, shorted or not those meant.
 * What is judged is which tap hears which channel, not how loud: gains may differ, all channels may invert.
 */
export function wiringFaults(listenings: readonly Listening[], meant: MeantWiring): string[] {
  const hearing = whoHearsWhom(listenings);
  return [
    ...misplaced(hearing, listenings, meant),
    ...inverted(hearing, listenings),
    ...wrongLoads(hearing, listenings, meant),
  ];
}

/** The channels that each tap hears. */
type Hearing = ReadonlyMap<number, readonly number[]>;

function whoHearsWhom(listenings: readonly Listening[]): Hearing {
  const gain = ({ taps, output_V }: Listening, tap: number): number => {
    const heard = taps.get(tap);
    return heard && isClear(heard) ? sizeOf(heard) / output_V : 0;
  };
  const channels = listenings.map(({ channel }) => channel);
  const loudest = Math.max(0, ...channels.flatMap((tap) => listenings.map((one) => gain(one, tap))));
  return new Map(
    channels.map((tap) => {
      const best = Math.max(...listenings.map((one) => gain(one, tap)));
      const least = Math.max(AS_LOUD * best, LEAST_OF_ALL * loudest);
      const heard = listenings.filter((one) => gain(one, tap) > 0 && gain(one, tap) >= least);
      return [tap, heard.map(({ channel }) => channel)];
    }),
  );
}

function misplaced(hearing: Hearing, listenings: readonly Listening[], meant: MeantWiring): string[] {
  const faults: string[] = [];
  for (const [tap, heard] of hearing) {
    const [only] = heard;
    if (heard.length === 1 && only === tap) continue;
    if (only === undefined) faults.push(nothingAt(tap, hearing, listenings, meant));
    else if (heard.includes(tap)) faults.push(joined(tap, heard));
    else if (heard.length > 1) faults.push(`the tap of channel ${tap} hears ${channelWords(heard)}`);
    else if (hearing.get(only)?.length === 1 && hearing.get(only)![0] === tap) {
      if (tap < only) faults.push(swapped(tap, only, listenings));
    } else if (hearing.get(only)?.includes(only))
      faults.push(`the tap of channel ${tap} sits at the load of channel ${only}`);
    else faults.push(`what is played on channel ${only} arrives at the tap of channel ${tap}`);
  }
  return [...new Set(faults)];
}

function nothingAt(
  tap: number,
  hearing: Hearing,
  listenings: readonly Listening[],
  { load_ohm }: MeantWiring,
): string {
  const own = listenings.find(({ channel }) => channel === tap)!;
  const current = own.currents.get(tap);
  const volts = own.taps.get(tap)!;
  if (current && isClear(current)) {
    const most_ohm = (CLEAR * volts.doubt) / sizeOf(current);
    return most_ohm < WRONG_LOAD * load_ohm.get(tap)!
      ? `channel ${tap} is shorted: current flows, and there is no voltage at its load`
      : `current flows into the load of channel ${tap}, and its tap hears nothing`;
  }
  const elsewhere = [...hearing].filter(([, heard]) => heard.includes(tap)).map(([other]) => other);
  if (elsewhere.length > 0) return `nothing arrives at the tap of channel ${tap}`;
  return (
    `channel ${tap} is dead: nothing arrives at any tap when it plays;` +
    ' is the unit on and not muted, its input connected, the load and the tap in place?'
  );
}

function joined(tap: number, heard: readonly number[]): string {
  return `${channelWords(heard)} are joined: ${channelWords([tap])} hears both`;
}

/** With current shunts, what was swapped shows: current flows in the load of the channel that plays, or in the other. */
function swapped(a: number, b: number, listenings: readonly Listening[]): string {
  const own = listenings.find(({ channel }) => channel === a)!;
  const [here, there] = [own.currents.get(a), own.currents.get(b)];
  const what =
    here && there && (isClear(here) || isClear(there))
      ? sizeOf(here) > sizeOf(there)
        ? 'their taps are'
        : 'the cables between outputs and unit, or those of the loads, are'
      : 'outputs, loads or taps are';
  return `channels ${a} and ${b} are swapped: ${what} the wrong way round`;
}

/** Those whose sign differs from most of the others; where there are as many of either, from the first. */
function inverted(hearing: Hearing, listenings: readonly Listening[]): string[] {
  const own = listenings.filter(({ channel }) => hearing.get(channel)?.includes(channel));
  const [first] = own;
  if (!first) return [];
  const reference = first.taps.get(first.channel)!;
  const sameAsFirst = own.filter(({ channel, taps }) => {
    const { re, im } = taps.get(channel)!;
    return re * reference.re + im * reference.im >= 0;
  });
  const others = own.filter((one) => !sameAsFirst.includes(one));
  const [few, many] = others.length > sameAsFirst.length ? [sameAsFirst, others] : [others, sameAsFirst];
  const names = (listed: readonly Listening[]) => channelWords(listed.map(({ channel }) => channel));
  if (few.length === 0) return [];
  return [`${names(few)} ${few.length > 1 ? 'are' : 'is'} inverted against ${names(many)}`];
}

function wrongLoads(
  hearing: Hearing,
  listenings: readonly Listening[],
  { load_ohm, nominal_ohm }: MeantWiring,
): string[] {
  return listenings.flatMap(({ channel, taps, currents }) => {
    const [volts, current] = [taps.get(channel)!, currents.get(channel)];
    if (!current || hearing.get(channel)?.length !== 1 || hearing.get(channel)![0] !== channel) return [];
    const meant_ohm = load_ohm.get(channel)!;
    // So weak a current as is meant cannot always be told from none.
    const telling = sizeOf(volts) / meant_ohm > 2 * OPEN_FACTOR * current.doubt;
    const seen_ohm = sizeOf(volts) / Math.max(sizeOf(current), current.doubt);
    if (telling && seen_ohm > OPEN_FACTOR * meant_ohm)
      return [`the load of channel ${channel} is open: no current flows`];
    const seen = formatQuantity(seen_ohm, 'ohm');
    if (isClear(current) && seen_ohm < meant_ohm / OPEN_FACTOR)
      return [`channel ${channel} is shorted: its load shows ${seen}`];
    const exact = sizeOf(current) > (CLEAR / WRONG_LOAD) * current.doubt;
    if (!exact || Math.abs(seen_ohm / meant_ohm - 1) <= WRONG_LOAD) return [];
    return [`channel ${channel} has a load of ${seen} where ${formatQuantity(nominal_ohm, 'ohm')} is meant`];
  });
}
