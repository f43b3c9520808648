import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { CalibrationRecord } from '../../src/calibration/chain.js';
import { benchFingerprint } from '../../src/safety/bench-fingerprint.js';
import { chain } from '../sequence/bench-fixture.js';

const record = (id: string, sha256 = id.repeat(64).slice(0, 64)): CalibrationRecord => ({
  id,
  kind: 'input',
  date: null,
  due: null,
  text: '',
  sha256,
});
const bench = (text: string, ...records: readonly CalibrationRecord[]) => ({
  text,
  channels: [chain(1, { records })],
});

describe('benchFingerprint', () => {
  it('of a bench without records is the SHA-256 of its text', () => {
    expect(benchFingerprint(bench('name: b\n'))).toBe(createHash('sha256').update('name: b\n').digest('hex'));
  });

  it('changes with the text, with a record, with its content, and with the record of the floor', () => {
    const all = [
      bench('name: b'),
      bench('name: c'),
      bench('name: b', record('x')),
      bench('name: b', record('y')),
      bench('name: b', record('x', 'e'.repeat(64))),
      { ...bench('name: b'), floorRecord: record('x') },
      bench('name: b', record('x'), record('y')),
    ].map(benchFingerprint);
    // A record counts the same wherever it is used: the floor's is the third again.
    expect(new Set(all).size).toBe(6);
    expect(all[5]).toBe(all[2]);
  });

  it('does not depend on the order in which records are used', () => {
    expect(benchFingerprint(bench('t', record('x'), record('y')))).toBe(
      benchFingerprint(bench('t', record('y'), record('x'))),
    );
  });

  it('changes with each file that a program of the bench is made of', () => {
    const folder = mkdtempSync(join(tmpdir(), 'ohmest-fingerprint-'));
    const source = {
      kind: 'program',
      argv: [process.execPath, 'read.mjs', '--port=3'],
    } as const;
    const probe = {
      ...{ name: 'sink', unit: '°C', every_s: 5, timeout_s: 1 },
      ...{ low: null, high: 85, needed: true },
    };
    const taken = (script: string) => {
      writeFileSync(join(folder, 'read.mjs'), script);
      const probes = [{ ...probe, source }];
      return benchFingerprint({ ...bench('name: b'), path: join(folder, 'bench.yaml'), sensors: probes });
    };
    try {
      const [before, changed, again] = [taken('a'), taken('b'), taken('a')];
      expect([changed === before, again === before]).toEqual([false, true]);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it('of a simulated bench changes with its twin', () => {
    const played = (twinSha256?: string) =>
      benchFingerprint({
        ...bench('name: b'),
        interface: { kind: 'simulated', twinPath: 't.yaml', seed: 1, ...(twinSha256 ? { twinSha256 } : {}) },
      });
    expect(new Set([played(), played('a'.repeat(64)), played('b'.repeat(64))]).size).toBe(3);
  });
});
