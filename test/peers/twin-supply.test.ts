/*
 * The unregulated supply against ngspice, an independent circuit simulator: rectified source, mains resistance that
 * both rails share, diodes, reservoirs, loaded by the half-cycles of a class-B sine current. Only the rectified
 * source is given to both; how the rails charge and sag is worked out by each.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { makeSupply } from '../../src/bench/simulated/supply.js';
import type { UnregulatedTwin } from '../../src/bench/simulated/twin.js';

interface Case {
  readonly name: string;
  readonly signal_Hz: number;
  readonly peak_A: number;
  readonly twin: UnregulatedTwin;
}

const BASE: UnregulatedTwin = {
  kind: 'unregulated',
  mains_V: 230,
  mains_Hz: 50,
  mainsResistance_ohm: 1,
  secondary_V: 33,
  nominalMains_V: 230,
  resistance_ohm: 0.2,
  rectifierDrop_V: 0.8,
  halfWave: false,
  reservoir_F: 0.01,
  hum: 0,
};

const CASES: Case[] = [
  { name: '1 kHz, 5 A', signal_Hz: 1000, peak_A: 5, twin: BASE },
  { name: '20 Hz, 5 A', signal_Hz: 20, peak_A: 5, twin: BASE },
  {
    name: '1 kHz, 15 A, 60 Hz',
    signal_Hz: 1000,
    peak_A: 15,
    twin: { ...BASE, mains_Hz: 60, reservoir_F: 0.022 },
  },
  { name: 'half-wave fault, 2 A', signal_Hz: 1000, peak_A: 2, twin: { ...BASE, halfWave: true } },
];

const BEGIN_S = 1;
const END_S = 1.4;

interface Rail {
  readonly mean_V: number;
  readonly ripple_V: number;
}

function summary(volts: readonly number[]): Rail {
  const mean_V = volts.reduce((sum, v) => sum + v, 0) / volts.length;
  return { mean_V, ripple_V: Math.max(...volts) - Math.min(...volts) };
}

/**
 * Each rail's rectifier is an ideal full-wave source behind drop, series resistance and a near-ideal diode; the
 * mains resistance is a current-controlled source that both charging currents drive.
 */
function netlist({ signal_Hz, peak_A, twin }: Case): string {
  const turns = twin.secondary_V / twin.nominalMains_V;
  const shared = twin.mainsResistance_ohm * turns ** 2;
  const peak = Math.SQRT2 * twin.secondary_V;
  const wave = `${peak}*sin(6.283185307179586*${twin.mains_Hz}*time)`;
  const source = twin.halfWave ? wave : `abs(${wave})`;
  const start = peak - twin.rectifierDrop_V;
  const draw = (sign: string) =>
    `time < 0 ? 0 : max(${sign}${peak_A}*sin(6.283185307179586*${signal_Hz}*time), 0)`;
  return `supply
Bsrc e 0 V=${source} - ${twin.rectifierDrop_V} - ${shared}*(i(Vp)+i(Vn))
Vp e p1 0
Rp p1 p2 ${twin.resistance_ohm}
Dp p2 p diode
Cp p 0 ${twin.reservoir_F} IC=${start}
Bp p 0 I=${draw('')}
Vn e n1 0
Rn n1 n2 ${twin.resistance_ohm}
Dn n2 n diode
Cn n 0 ${twin.reservoir_F} IC=${start}
Bn n 0 I=${draw('-')}
.model diode D(N=0.001 IS=1e-12)
.options reltol=1e-5
.tran 20u ${END_S} ${BEGIN_S} 10u uic
.control
run
set wr_singlescale
linearize v(p) v(n)
wrdata out.txt v(p) v(n)
quit
.endc
.end
`;
}

function simulateElsewhere(test: Case): Rail {
  const folder = mkdtempSync(join(tmpdir(), 'supply-'));
  try {
    writeFileSync(join(folder, 'supply.cir'), netlist(test));
    execFileSync('ngspice', ['-b', 'supply.cir'], { cwd: folder, stdio: 'pipe', timeout: 100_000 });
    const rows = readFileSync(join(folder, 'out.txt'), 'utf8').trim().split('\n');
    return summary(rows.map((row) => Number(row.trim().split(/\s+/)[1])));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function simulateHere({ signal_Hz, peak_A, twin }: Case): Rail {
  const supply = makeSupply(twin);
  // The step that an amplifier twin takes at 48 kHz.
  const dt_s = 4 / 48_000;
  const volts: number[] = [];
  for (let n = 0; n * dt_s < END_S; n += 1) {
    const current = peak_A * Math.sin(2 * Math.PI * signal_Hz * (n + 0.5) * dt_s);
    supply.step(Math.max(current, 0), Math.max(-current, 0), dt_s);
    if (n * dt_s >= BEGIN_S) volts.push(supply.positive_V);
  }
  return summary(volts);
}

describe('the unregulated supply and ngspice', () => {
  it.each(CASES)('agree for $name: mean rail within 0.3 %, ripple within 2 %', (test) => {
    const here = simulateHere(test);
    const there = simulateElsewhere(test);
    expect(Math.abs(here.mean_V / there.mean_V - 1)).toBeLessThan(0.003);
    expect(Math.abs(here.ripple_V / there.ripple_V - 1)).toBeLessThan(0.02);
  });
});
