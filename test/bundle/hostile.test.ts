import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { FORMAT_VERSION } from '../../src/bundle/manifest.js';
import { readBundle } from '../../src/bundle/read-bundle.js';
import { InputError } from '../../src/errors/ohmest-error.js';
import { inventedRun } from '../store/invented-run.js';
import { scratchFolder } from '../store/scratch.js';
import { bundleOf, inventedCapture, membersOf, packedRun, relisted, withMember } from './packed.js';
import type { Member } from './zip.js';

let sound: readonly Member[];
let bytes: Buffer;

beforeAll(async () => {
  const { bundle } = await packedRun();
  sound = await membersOf(bundle);
  bytes = readFileSync(bundle);
});

/** Why a bundle is refused; that it changed nothing around it is part of it. */
async function refusal(path: string): Promise<InputError> {
  const before = readdirSync(dirname(path));
  const error = await readBundle(path).then(
    (open) => {
      open.close();
      throw new Error('it was taken');
    },
    (reason: unknown) => reason,
  );
  expect(error).toBeInstanceOf(InputError);
  expect(readdirSync(dirname(path))).toEqual(before);
  return error as InputError;
}

const textOf = (name: string): string => Buffer.from(sound.find((one) => one.name === name)!.data).toString();
const changedRun = (change: (run: Record<string, unknown>) => unknown) =>
  withMember(sound, 'run.json', (text) => JSON.stringify(change(JSON.parse(text))));
const replacedText = (from: string | RegExp, to: string) =>
  withMember(sound, 'run.json', (text) => {
    const changed = text.replace(from, to);
    expect(changed).not.toBe(text);
    return changed;
  });

describe('members put together by hand', () => {
  it('are taken when they are what they should be', async () => {
    const open = await readBundle(bundleOf(sound));
    expect(open.content.record.unit.label).toBe('Invented two-channel unit, no. 1');
    open.close();
  });

  it.each([
    ['../outside.yaml', /invalid relative path/],
    ['captures/../../outside.wav', /invalid relative path/],
    ['/etc/outside', /absolute path/],
    ['C:/outside', /absolute path/],
    ['captures\\outside.wav', /invalid characters/],
    ['captures/point-00001.wav.part', /has a name that no member of a bundle has/],
    ['captures/point-1.wav/', /has a name that no member of a bundle has/],
    ['calibration/001-../x.yaml', /invalid relative path|has a name/],
    ['unknown.txt', /has a name that no member of a bundle has/],
    ['', /has a name that no member of a bundle has/],
    ['run.json\0.txt', /has a name that no member of a bundle has/],
    ['\u001b[2Jrun.json', /has a name that no member/],
  ])('are refused for the name %j', async (name, says) => {
    const error = await refusal(bundleOf([...sound, { name, data: Buffer.from('x') }]));
    expect(error.message).toMatch(says);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: that none comes through is what is looked for
    expect(error.message).not.toMatch(/[\x00-\x1f]/);
  });

  it('are refused when one of them stands there twice', async () => {
    const twice = sound.find(({ name }) => name === 'bench.yaml')!;
    expect(await refusal(bundleOf([...sound, twice]))).toMatchObject({ code: 'BUNDLE_UNSAFE' });
  });

  it.each([
    ['a link', { mode: 0o120777 }],
    ['a folder', { mode: 0o040755 }],
    ['a device', { mode: 0o020666 }],
    ['encrypted', { encrypted: true }],
    ['packed by an unknown method', { method: 12 }],
  ])('are refused when one is %s', async (_what, lie) => {
    const members = sound.map((one) => (one.name === 'bench.yaml' ? { ...one, ...lie } : one));
    expect(await refusal(bundleOf(members))).toMatchObject({ code: 'BUNDLE_UNSAFE' });
  });

  it('are refused when a capture is packed: only what is not can be held against the size of the file', async () => {
    const members = sound.map((one) =>
      one.name === 'captures/point-00001.wav' ? { ...one, packed: true } : one,
    );
    expect(await refusal(bundleOf(members))).toMatchObject({ code: 'BUNDLE_UNSAFE' });
  });

  it('are refused when one of them is missing, or more than the list says', async () => {
    const without = (name: string) => sound.filter((one) => one.name !== name);
    for (const name of ['bench.yaml', 'run.json', 'captures/point-00002.wav', 'calibration/001-load-1.yaml'])
      expect(await refusal(bundleOf(without(name)))).toMatchObject({ code: 'BUNDLE_ALTERED' });
    expect(await refusal(bundleOf(relisted(without('bench.yaml'))))).toMatchObject({
      code: 'BUNDLE_ALTERED',
    });
    expect(await refusal(bundleOf(without('manifest.json')))).toMatchObject({ code: 'BUNDLE_ALTERED' });
    const more = [...sound, { name: 'calibration/009-more.yaml', data: Buffer.from('x') }];
    expect(await refusal(bundleOf(more))).toMatchObject({ code: 'BUNDLE_ALTERED' });
    expect((await refusal(bundleOf(relisted(more)))).message).toContain('belongs to nothing in the run');
  });
});

describe('sizes that lie', () => {
  const bomb = Buffer.alloc(3 * 2 ** 20);

  it('a member that unpacks to far more than its size is refused before it is unpacked', async () => {
    const members = [...sound, { name: 'claim.txt', data: bomb, packed: true }];
    expect((await refusal(bundleOf(members))).message).toContain('unpacks to more than 200 times its size');
  });

  it('a member that unpacks to more than it says is left at its first byte too many', async () => {
    const members = sound.map((one) =>
      one.name === 'manifest.json' ? { ...one, data: bomb, packed: true, declared: 1000 } : one,
    );
    expect((await refusal(bundleOf(members))).message).toMatch(/manifest.json cannot be unpacked/);
  });

  it.each([
    ['run.json', 300 * 2 ** 20],
    ['bench.yaml', 5 * 2 ** 20],
    ['manifest.json', 2 ** 32 - 2],
    ['captures/point-00001.wav', 2 ** 31],
  ])('%s that says to be %i bytes is refused', async (name, declared) => {
    const members = sound.map((one) => (one.name === name ? { ...one, declared } : one));
    await refusal(bundleOf(members));
  });

  it('many members that are small by themselves are refused for what they are together', async () => {
    // Each within its own limits, at a ratio that texts can have: 130 times 4 MiB.
    const noise = Buffer.alloc(4 * 2 ** 20, 'a text that repeats itself but not too much, as texts do; ');
    const data = Buffer.concat([noise.subarray(0, noise.length - 40_000), randomText(40_000)]);
    const many = Array.from({ length: 130 }, (_, i) => ({
      name: `calibration/${String(i + 1).padStart(3, '0')}-load.yaml`,
      data,
      packed: true,
    }));
    expect((await refusal(bundleOf(many))).message).toMatch(/unpacked it would take \d+ bytes/);
  });

  it('a manifest that lists another size or hash is refused', async () => {
    const lying = (change: (member: { bytes: number; sha256: string }) => object) =>
      sound.map((one) => {
        if (one.name !== 'manifest.json') return one;
        const manifest = JSON.parse(Buffer.from(one.data).toString());
        const members = manifest.members.map((listed: { name: string; bytes: number; sha256: string }) =>
          listed.name === 'bench.yaml' ? { ...listed, ...change(listed) } : listed,
        );
        return { ...one, data: Buffer.from(JSON.stringify({ ...manifest, members })) };
      });
    expect((await refusal(bundleOf(lying(({ bytes }) => ({ bytes: bytes + 1 }))))).code).toBe(
      'BUNDLE_ALTERED',
    );
    expect((await refusal(bundleOf(lying(() => ({ sha256: '0'.repeat(64) }))))).code).toBe('BUNDLE_ALTERED');
    expect((await refusal(bundleOf(lying(() => ({ bytes: -1 }))))).code).toBe('BUNDLE_INVALID');
  });
});

/** Text that packs badly, the same each time (a linear congruential generator). */
function randomText(length: number): Buffer {
  let state = 12_345;
  return Buffer.from(
    Array.from({ length }, () => {
      state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
      return 32 + (state % 90);
    }),
  );
}

describe('documents that are not what they should be', () => {
  it('brackets nested a million deep are refused in one message', async () => {
    const deep = withMember(sound, 'run.json', () => `${'['.repeat(1_000_000)}${']'.repeat(1_000_000)}`);
    const unpacked = deep.map((one) => ({ ...one, packed: false }));
    expect((await refusal(bundleOf(unpacked))).message).toContain('nest more than 32 deep');
  });

  it('lists and objects by the million are refused before they lie in memory', async () => {
    const many = withMember(sound, 'run.json', () => `[${'{},'.repeat(1_500_001)}{}]`);
    const unpacked = many.map((one) => ({ ...one, packed: false }));
    expect((await refusal(bundleOf(unpacked))).message).toContain('more than 1500000 lists and objects');
  });

  it('spectra of no reading, or two of one, are refused', async () => {
    const spectra = (change: (one: { channel: number }[]) => object) =>
      withMember(sound, 'spectra/point-00002.json', (text) => JSON.stringify(change(JSON.parse(text))));
    const says = 'no reading of channel';
    expect((await refusal(bundleOf(spectra(([one]) => [{ ...one, channel: 7 }])))).message).toContain(says);
    expect((await refusal(bundleOf(spectra(([one]) => [one, one] as object)))).message).toContain(says);
    expect((await refusal(bundleOf(spectra(([one]) => [{ ...one, level_dB: [1] }])))).code).toBe(
      'BUNDLE_INVALID',
    );
    const stray = [...sound, { name: 'spectra/point-00009.json', data: Buffer.from('[]') }];
    expect((await refusal(bundleOf(relisted(stray)))).message).toContain('belongs to nothing in the run');
  });

  it.each([
    ['NaN as a word', /"load_ohm":8/, '"load_ohm":NaN', /not JSON/],
    [
      'a number too large for any',
      /"load_ohm":8/,
      '"load_ohm":1e999',
      /expected number, found one that is too large/,
    ],
    ['a text for a number', /"load_ohm":8/, '"load_ohm":"8"', /expected number, received string/],
    ['an invented sign for a number', /"power_W":[^,]+/, '"power_W":{"number":"constructor"}', /power_W/],
    ['a key too many', /"load_ohm":8/, '"load_ohm":8,"more":1', /Unrecognized key/],
    ['a key of every object', /"load_ohm":8/, '"load_ohm":8,"__proto__":{"x":1}', /Unrecognized key/],
    ['an unknown outcome', /"outcome":"stopped"/, '"outcome":"running"', /outcome/],
    ['a label with a terminal escape', /"label":"/, '"label":"\\u001b[2J', /no label that a unit can go by/],
    ['an unknown flag', /"near-input-rail"/, '"near-input-rail","<b>"', /flags/],
    ['a channel 0', /"channel":1,/, '"channel":0,', /channel/],
    ['a moment that is none', /"started":"[^"]+"/, '"started":"yesterday"', /no moment in UTC/],
  ])('%s is refused', async (_what, from, to, says) => {
    const error = await refusal(bundleOf(replacedText(from, to)));
    expect(error.code).toBe('BUNDLE_INVALID');
    expect(error.message).toMatch(says);
  });

  type Rows = Record<string, { [key: string]: unknown }[]>;
  it.each<[string, (run: Rows) => object, RegExp]>([
    ['a point left out', (run) => ({ points: run.points!.slice(1) }), /numbered from 1 without holes/],
    ['a reading of no point', (run) => ({ points: [], readings: run.readings! }), /there is no point 1/],
    [
      'a reading twice',
      (run) => ({ readings: [run.readings![0], ...run.readings!] }),
      /a second one of channel 1/,
    ],
    [
      'a reading out of order',
      (run) => ({ readings: [...run.readings!].reverse() }),
      /in the order of their points/,
    ],
    [
      'a settling of no reading',
      (run) => ({ settlings: [{ ...run.settlings![0], channel: 9 }] }),
      /no reading 1\/9/,
    ],
    [
      'a capture of no reading',
      (run) => ({ captures: [{ ...run.captures![0], channels: [7] }] }),
      /fits no readings/,
    ],
    [
      'a capture of no frames',
      (run) => ({ captures: [{ ...run.captures![0], frames: 0 }] }),
      /fits no readings/,
    ],
    ['no end', () => ({ ended: null }), /ended: missing/],
    ['a permit that is not carried', () => ({ permit: 'p-1' }), /permits: those carried/],
    [
      'a second session numbered 3',
      () => ({
        sessions: [{ number: 3, started: '2026-03-01T10:00:00Z', at_s: 1, first_point: 1, before: '' }],
      }),
      /sessions are numbered from 2/,
    ],
  ])('%s is refused', async (_what, change, says) => {
    const error = await refusal(bundleOf(changedRun((run) => ({ ...run, ...change(run as Rows) }))));
    expect(error.code).toBe('BUNDLE_INVALID');
    expect(error.message).toMatch(says);
  });

  it('a permit that no session used is refused: it would be a licence to play', async () => {
    const permit = {
      id: 'p-9',
      sequence: 's',
      sequence_sha256: '5'.repeat(64),
      bench: 'b',
      bench_fingerprint: 'f',
      claim: null,
      by: 'nobody',
      signed: '2031-03-04T10:00:00.000Z',
      expires: '2031-03-04T22:00:00.000Z',
      worst: {},
      checklist: [],
    };
    const planted = [...sound, { name: 'permits.json', data: Buffer.from(JSON.stringify([permit])) }];
    expect((await refusal(bundleOf(relisted(planted)))).message).toContain(
      'permits: those carried are not those',
    );
  });

  it.each(['bench.yaml', 'sequence.yaml', 'calibration/002-attenuator-1.yaml'])(
    '%s that is not the text the run was made with is refused, although the list fits it',
    async (name) => {
      const error = await refusal(bundleOf(withMember(sound, name, (text) => `${text}# mended\n`)));
      expect(error.message).toContain(`${name} is not the text that the run was made with`);
    },
  );

  it('a recorded figure that was changed is noticed although the list fits it', async () => {
    const error = await refusal(bundleOf(replacedText(/"thdn_percent":(?=\d)/, '"thdn_percent":1')));
    expect(error.message).toContain('another run than the manifest names');
  });

  it('a capture with other samples is refused, at once or when it is read', async () => {
    const members = sound.map((one) =>
      one.name === 'captures/point-00001.wav' ? { ...one, data: inventedCapture(2) } : one,
    );
    const open = await readBundle(bundleOf(members));
    await expect(open.capture(1)).rejects.toMatchObject({ code: 'BUNDLE_ALTERED' });
    open.close();
    expect((await refusal(bundleOf(relisted(members)))).message).toContain('not the one of the run');
  });

  it.each(['run.json', 'bench.yaml', 'README.txt'])('%s that is not UTF-8 is refused', async (name) => {
    const members = sound.map((one) =>
      one.name === name ? { ...one, data: Buffer.from([0xff, 0xfe, 0]) } : one,
    );
    expect((await refusal(bundleOf(relisted(members)))).message).toContain('not text in UTF-8');
  });

  it('a newer format is told from a damaged one, whatever else has changed in it', async () => {
    const newer = { format: 'ohmest run bundle', format_version: FORMAT_VERSION + 1, parts: [] };
    const members = [{ name: 'manifest.json', data: Buffer.from(JSON.stringify(newer)) }];
    const error = await refusal(bundleOf(members));
    expect(error.message).toContain(
      `this bundle has format ${FORMAT_VERSION + 1}, and this ohmest knows formats up to ${FORMAT_VERSION}`,
    );
  });

  it('a ZIP file of something else is refused', async () => {
    const members = [{ name: 'manifest.json', data: Buffer.from('{"format":"luggage"}') }];
    expect(await refusal(bundleOf(members))).toMatchObject({ code: 'NOT_A_BUNDLE' });
  });

  it('hostile names are plain text to it', async () => {
    const hostile = `"'; DROP TABLE runs; --<script>alert(1)</script>`;
    const { bundle } = await packedRun(inventedRun(hostile));
    const open = await readBundle(bundle);
    open.close();
    expect(open.content.record.unit.label).toBe(hostile);
  });
});

describe('bytes that were damaged on the way', () => {
  const folder = () => join(scratchFolder(), 'damaged.ohmest');

  it.each([0, 1, 21, 22, 100, 1000])('a file cut off after %i bytes is refused', async (length) => {
    const path = folder();
    writeFileSync(path, bytes.subarray(0, length));
    expect(await refusal(path)).toMatchObject({ code: 'NOT_A_BUNDLE' });
  });

  it('give a refusal in words or the run as it was, never anything else', async () => {
    const path = folder();
    const { content } = await readAndClose(bundleOf(sound));
    const hit = fc.record({
      at: fc.nat(bytes.length - 1),
      value: fc.nat(255),
      kind: fc.constantFrom('set', 'cut', 'insert'),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(hit, { minLength: 1, maxLength: 4 }), async (hits) => {
        writeFileSync(path, hits.reduce(damaged, bytes));
        const before = readdirSync(dirname(path));
        try {
          const open = await readBundle(path);
          try {
            // Damage that changes nothing that counts: a date, an attribute, a capture not read yet.
            expect(open.content).toEqual(content);
            for (const { point } of open.carried) await open.capture(point);
          } finally {
            open.close();
          }
        } catch (error) {
          if (!(error instanceof InputError)) throw error;
        }
        expect(readdirSync(dirname(path))).toEqual(before);
      }),
      { seed: 7, numRuns: 300 },
    );
  }, 90_000);

  it('of a document, give a refusal or a whole run, never anything else', async () => {
    const text = textOf('run.json');
    const piece = fc.constantFrom('null', '-1', '1e308', '[]', '{}', '"x"', '{"number":"NaN"}', 'true', '');
    await fc.assert(
      fc.asyncProperty(fc.nat(text.length - 1), fc.nat(40), piece, async (at, length, put) => {
        const changed = withMember(
          sound,
          'run.json',
          () => text.slice(0, at) + put + text.slice(at + length),
        );
        try {
          (await readBundle(bundleOf(changed))).close();
        } catch (error) {
          if (!(error instanceof InputError)) throw error;
        }
      }),
      { seed: 8, numRuns: 150 },
    );
  }, 90_000);
});

async function readAndClose(path: string) {
  const open = await readBundle(path);
  open.close();
  return open;
}

function damaged(whole: Buffer, { at, value, kind }: { at: number; value: number; kind: string }): Buffer {
  const place = Math.min(at, whole.length);
  if (kind === 'cut') return Buffer.concat([whole.subarray(0, place), whole.subarray(place + value)]);
  if (kind === 'insert')
    return Buffer.concat([whole.subarray(0, place), Buffer.alloc(3, value), whole.subarray(place)]);
  const copy = Buffer.from(whole);
  copy[Math.min(place, whole.length - 1)] = value;
  return copy;
}
