import { join } from 'node:path';
import type { BenchSetup } from '../../../src/bench/bench-setup.js';
import { plainChain } from '../../calibration/plain-chain.js';

export interface CommandSetup {
  readonly argv: readonly string[];
  readonly channels?: number;
  readonly rate_Hz?: number;
  readonly timeout_s?: number;
  readonly energises?: boolean;
  /** Length of a block of a program that streams. */
  readonly block_s?: number | null;
  /** Bench channels that have a current shunt. */
  readonly taps?: readonly number[];
}

const CURRENT = { input: 9, fullScale_Vpk: 1, shunt_ohm: 0.1, stated: null };

/** A bench file for a program, as the reader of bench files would hand it over. */
export function commandSetup(fields: CommandSetup): BenchSetup {
  const {
    argv,
    channels = 2,
    rate_Hz = 48_000,
    timeout_s = 20,
    energises = false,
    taps = [],
    block_s = null,
  } = fields;
  return {
    name: 'a program',
    kind: 'command',
    interface: { kind: 'command', argv, timeout_s, block_s },
    energises,
    clock: energises ? 'world' : 'virtual',
    rate_Hz,
    channels: Array.from({ length: channels }, (_, i) =>
      plainChain(i + 1, { current: taps.includes(i + 1) ? CURRENT : null }),
    ),
    assumedGain_dB: 0,
    dcLimit_V: 1,
    floor: null,
    clockLimits_ppm: null,
    day: '2026-03-01',
    path: join(import.meta.dirname, 'bench.yaml'),
    text: '',
    sha256: '',
  };
}

/** The argv of one of the programs in the folder of fixtures. */
export function fixture(name: string, ...args: readonly string[]): string[] {
  return [process.execPath, join(import.meta.dirname, 'fixtures', `${name}.mjs`), ...args];
}
