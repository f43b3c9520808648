import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { onDisk } from '../../src/bench/files.js';
import { openSimulated } from '../../src/bench/simulated/open-simulated.js';
import { benchWithTwin } from '../cli/stand.js';

const top = mkdtempSync(join(tmpdir(), 'ohmest-files-'));
afterAll(() => rmSync(top, { recursive: true, force: true }));

/** A path at which something stands that is no file, made by `make`. */
function standing(name: string, make: (path: string) => void): string {
  const path = join(top, name);
  make(path);
  return path;
}

const loop = (path: string) => symlinkSync(path, path);
const pipe = (path: string) => execFileSync('mkfifo', [path]);
const endless = (path: string) => symlinkSync('/dev/zero', path);
const nowhere = (path: string) => symlinkSync('/nowhere/at/all', path);

const ODD: readonly (readonly [string, (path: string) => void, RegExp])[] = [
  ['folder', (path) => mkdirSync(path), /is a folder, a pipe or a device, not a file/],
  ['pipe', pipe, /is a folder, a pipe or a device, not a file/],
  ['device', endless, /is a folder, a pipe or a device, not a file/],
  ['loop', loop, /is a link that leads back to itself/],
  ['long', (path) => writeFileSync(path, Buffer.alloc(2 ** 20 + 1)), /is longer than 1 MiB/],
  ['dangling', nowhere, /does not exist, or links to nothing/],
];

describe('what stands in the place of a calibration record and is no file', () => {
  it.each(ODD)('is said to be so, and not waited for: %s', (name, make, words) => {
    const folder = join(top, `bench-${name}`, 'calibration');
    mkdirSync(folder, { recursive: true });
    make(join(folder, 'out.yaml'));
    const text = benchWithTwin('ideal-40').replace('full_scale: 3 V rms', 'record: out');
    const act = () => readBench(text, join(top, `bench-${name}`, 'bench.yaml'), onDisk);
    expect(act).toThrow(/bench\.yaml:4:.*the record 'out' cannot be used: .*out\.yaml/);
    expect(act).toThrow(words);
  });
});

describe('a twin that is no file', () => {
  it('is said to be so, and not waited for', () => {
    const path = standing('twin.yaml', pipe);
    const bench = readBench(benchWithTwin('ideal-40'), join(top, 'bench.yaml'));
    const named = { ...bench, interface: { kind: 'simulated', twinPath: path, seed: 1 } as const };
    expect(() => openSimulated(named)).toThrow(/twin\.yaml is a folder, a pipe or a device, not a file/);
  });
});

describe('a plain file', () => {
  it('is read as it is', () => {
    const path = standing('plain', (at) => writeFileSync(at, 'text'));
    expect(onDisk.read(path).toString()).toBe('text');
  });
});
