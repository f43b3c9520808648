import type { Band } from '../../measure/analysis.js';

/** What sort of power a claim speaks of, by its own word. */
export type PowerKind = 'continuous' | 'burst' | 'dynamic' | 'music' | 'maximum' | 'peak' | 'PMPO';

/** Mains with its frequency, or a direct voltage such as a vehicle's. */
export interface ClaimedSupply {
  readonly kind: 'mains' | 'dc';
  readonly voltage_V: number;
  /** Null when not stated, and for direct voltage. */
  readonly frequency_Hz: number | null;
}

/** The conditions of a published rating. Null: not stated, and never filled in by guess. */
export interface ClaimTerms {
  readonly power_W: number | null;
  /** Lower end, where the claim holds from a level up, as in `250 mW to 100 W`. */
  readonly from_W: number | null;
  /** Whether the watts are those of one channel or of all channels together. */
  readonly per: 'channel' | 'total' | null;
  readonly kind: PowerKind | null;
  readonly load_ohm: number | null;
  readonly distortion_percent: number | null;
  readonly distortion: 'THD' | 'THD+N' | null;
  /** Both ends of the band; twice the same for a single frequency. */
  readonly frequency_Hz: Band | null;
  /** How many channels give this power, as in `2 x 100 W`; says nothing about how many are driven at once. */
  readonly channels: number | null;
  /** How many channels are driven at once. */
  readonly driven: number | 'all' | null;
  readonly bridged: true | null;
  readonly supply: ClaimedSupply | null;
  readonly duration_s: number | null;
  readonly burst_s: number | null;
  readonly standard: string | null;
}

/** A published rating: a power, and whatever else it states. */
export interface Claim extends ClaimTerms {
  readonly power_W: number;
}

/** Nothing stated. */
export const NO_TERMS: ClaimTerms = {
  power_W: null,
  from_W: null,
  per: null,
  kind: null,
  load_ohm: null,
  distortion_percent: null,
  distortion: null,
  frequency_Hz: null,
  channels: null,
  driven: null,
  bridged: null,
  supply: null,
  duration_s: null,
  burst_s: null,
  standard: null,
};

/** How many channels share the claimed watts: 1 where they are those of each channel, null where it is not said. */
export function sharedBy({ per, driven, channels }: Claim): number | null {
  if (per !== 'total') return 1;
  return typeof driven === 'number' ? driven : channels;
}
