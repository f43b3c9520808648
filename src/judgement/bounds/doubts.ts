import { nominalWords } from '../../calibration/nominal-match.js';
import type { FlagCode } from '../../measure/flags.js';

/** What a flag makes doubtful: that a limit is kept, that it is exceeded, both (the power itself), or nothing. */
type Doubt = 'kept' | 'exceeded' | 'both' | 'none';

const DOUBTS: Readonly<Record<FlagCode, Doubt>> = {
  'harmonics-out-of-band': 'kept',
  'no-harmonic-in-band': 'kept',
  'not-settled': 'both',
  'gap-in-capture': 'both',
  'break-in-step': 'none',
  'clipped-capture': 'both',
  'near-input-rail': 'none',
  'clock-mismatch': 'none',
  'floor-limited': 'exceeded',
  'power-not-reached': 'none',
  'less-at-same-drive': 'none',
  'tone-not-strongest': 'both',
  'dc-exceeds-tone': 'none',
  uncalibrated: 'none',
  'calibration-overdue': 'both',
  'load-differs': 'both',
  'load-off-nominal': 'both',
  'not-as-before': 'both',
  unaligned: 'none',
  'no-tone': 'both',
  'not-known': 'both',
};

/** Why a reading proves less than it seems to, in words that follow "and". */
const WORDS: Partial<Record<FlagCode, string>> = {
  'harmonics-out-of-band': 'harmonics lie outside the measuring band',
  'no-harmonic-in-band': 'no harmonic lies inside the measuring band',
  'not-settled': 'the output had not settled',
  'floor-limited': 'the residual of the bench is within 6 dB of the reading',
  'tone-not-strongest': 'something in the band was stronger than the tone',
  'calibration-overdue': 'a calibration was overdue',
  'load-differs': 'the load was not as stated',
  'not-known': 'a later version flagged it for a reason not known here',
  'not-as-before': 'the channel did not give there what it had given before',
};

/** Of the flags of a reading those that make it doubtful that it shows what it seems to. */
export const doubtsOf = (flags: readonly FlagCode[], shows: 'kept' | 'exceeded'): FlagCode[] =>
  flags.filter((flag) => {
    const doubt = DOUBTS[flag];
    return doubt === 'both' || doubt === shows;
  });

/** A doubt in words: `the load was not as stated`. A load that is off its nominal value is told with both figures. */
export const doubtWords = (flag: FlagCode, { load_ohm, measured_ohm }: DoubtfulLoad): string =>
  flag === 'load-off-nominal'
    ? nominalWords(measured_ohm, load_ohm)
    : (WORDS[flag] ?? `a reading is flagged ${flag}`);

/** What a power was measured into: by name, and in truth. */
interface DoubtfulLoad {
  readonly load_ohm: number;
  readonly measured_ohm: number;
}
