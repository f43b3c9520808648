import {
  appendFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  symlinkSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { Journal } from '../../src/calibrator/journal.js';
import type { Meter, MeterQuestion } from '../../src/calibrator/meter.js';

const folder = mkdtempSync(join(tmpdir(), 'ohmest-journal-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let path = '';
let files = 0;
beforeEach(() => {
  files += 1;
  path = join(folder, `${files}.jsonl`);
});

const OUTPUT: MeterQuestion = { kind: 'output-volts', channel: 1, frequency_Hz: 1000 };
const NOON = new Date('2026-03-01T12:00:00Z');
const later = (hours: number) => new Date(NOON.getTime() + hours * 3_600_000);

/** A person who types these numbers, and how often they were asked. */
function person(...typed: number[]): Meter & { asked: number } {
  const meter = {
    asked: 0,
    read: async () => typed[meter.asked++]!,
    confirm: async () => true,
  };
  return meter;
}

const open = (now = NOON, subject = 'one') => new Journal(path, subject, () => now);
const say = () => {};

describe('Journal', () => {
  it('has every answer on disk before it is used, and gives them back in order without asking', async () => {
    const meter = open().keep(person(1.1, 1.2, 3.3), say);
    expect(await meter.read(OUTPUT, 'a')).toBe(1.1);
    expect(readFileSync(path, 'utf8')).toContain('1.1');
    expect(await meter.read(OUTPUT, 'a')).toBe(1.2);
    expect(await meter.read(OUTPUT, 'b')).toBe(3.3);
    const again = open(later(1));
    expect(again.found).toMatchObject({ answers: 3, last: NOON, state: 'fresh' });
    const next = person(9.9);
    const known = again.keep(next, say);
    expect([
      await known.read(OUTPUT, 'b'),
      await known.read(OUTPUT, 'a'),
      await known.read(OUTPUT, 'a'),
    ]).toEqual([3.3, 1.1, 1.2]);
    expect(next.asked).toBe(0);
    expect(await known.read(OUTPUT, 'a')).toBe(9.9);
    expect(open(later(1)).found!.answers).toBe(4);
  });

  it('counts a last line that was cut off as never typed, and goes on after it', async () => {
    const meter = open().keep(person(1.1, 1.2), say);
    await meter.read(OUTPUT, 'a');
    await meter.read(OUTPUT, 'b');
    const whole = readFileSync(path).length;
    for (let cut = 1; cut < 40; cut += 1) {
      truncateSync(path, whole - cut);
      const found = open().found!;
      expect(found.answers).toBe(cut === 1 ? 2 : 1);
    }
    await open().keep(person(5.5), say).read(OUTPUT, 'c');
    const known = open().keep(person(7.7), say);
    expect(await known.read(OUTPUT, 'a')).toBe(1.1);
    expect(await known.read(OUTPUT, 'c')).toBe(5.5);
    expect(await known.read(OUTPUT, 'b')).toBe(7.7);
  });

  it('does not use answers of another subject, or older than a day, or from a clock that went back', async () => {
    await open().keep(person(1.1), say).read(OUTPUT, 'a');
    expect(open(NOON, 'two').found!.state).toBe('other');
    expect(open(later(23.9)).found!.state).toBe('fresh');
    expect(open(later(24.1)).found!.state).toBe('old');
    expect(open(later(-1)).found!.state).toBe('old');
    const afresh = open(later(30));
    expect(await afresh.keep(person(2.2), say).read(OUTPUT, 'a')).toBe(2.2);
    expect(open(later(31)).found).toMatchObject({ answers: 1, state: 'fresh' });
  });

  it('forgets answers that were withdrawn', async () => {
    const meter = open().keep(person(10, 11, 1.5), say);
    await meter.read(OUTPUT, 'a');
    await meter.read(OUTPUT, 'b');
    await meter.withdraw!(OUTPUT, 'a');
    const again = open();
    expect(again.found!.answers).toBe(1);
    expect(await again.keep(person(1), say).read(OUTPUT, 'a')).toBe(1);
  });

  it('says which file cannot be written, and lets no answer through that is not on disk', async () => {
    const journal = new Journal(join(path, 'no', 'folder.jsonl'), 'one', () => NOON);
    await expect(journal.keep(person(1.1), say).read(OUTPUT, 'a')).rejects.toMatchObject({
      code: 'NOT_KEPT',
      exitStatus: 2,
      message: expect.stringMatching(/folder\.jsonl.*ENOENT/),
    });
  });

  it('leaves nothing behind when it is discarded, and finds nothing in what is no journal', async () => {
    const journal = open();
    await journal.keep(person(1.1), say).read(OUTPUT, 'a');
    journal.discard();
    expect(existsSync(path)).toBe(false);
    expect(open().found).toBeNull();
    appendFileSync(path, 'not a journal\n[1, 2]\n7\nnull\n{"question": 3}\n');
    expect(open().found).toBeNull();
  });

  it.each([
    ['an answer beyond all numbers', (line: string) => line.replace('"answer":1.1', '"answer":1e999')],
    ['a time that is none', (line: string) => line.replace(/"at":"[^"]*"/, '"at":"nonsense"')],
    ['no time at all', (line: string) => line.replace(/,"at":"[^"]*"/, '')],
    ['no object at all', () => 'null'],
  ])('counts a line with %s as never typed', async (_, spoil) => {
    await open().keep(person(1.1), say).read(OUTPUT, 'a');
    const [head, line] = readFileSync(path, 'utf8').split('\n');
    writeFileSync(path, `${head}\n${spoil(line!)}\n`);
    const again = open(later(1));
    expect(again.found).toBeNull();
    const next = person(2.2);
    expect(await again.keep(next, say).read(OUTPUT, 'a')).toBe(2.2);
    expect(next.asked).toBe(1);
  });

  it('is refused at once where a folder, or a link in a circle, stands in its place', () => {
    mkdirSync(path);
    expect(() => open()).toThrow(/cannot be written \(a folder, a pipe or a device, not a file\)/);
    path = `${path}.link`;
    symlinkSync(path, path);
    expect(() => open()).toThrow(/cannot be written \(ELOOP\)/);
  });
});
