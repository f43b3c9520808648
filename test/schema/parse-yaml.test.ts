import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { DocumentError } from '../../src/schema/document-error.js';
import { fullScale, identifier, label, quantity, whole } from '../../src/schema/fields.js';
import { parseYaml } from '../../src/schema/parse-yaml.js';

const schema = z.strictObject({
  name: label(),
  count: whole(1, 64).optional(),
  power: quantity('W', { positive: true, max: 5000 }).optional(),
  share: quantity('1').optional(),
  level: fullScale().optional(),
  id: identifier().optional(),
  loads: z
    .array(
      z.strictObject({
        nominal: quantity('ohm', { min: 0.1, max: 1000 }),
        tempco: quantity('1/K').optional(),
      }),
    )
    .min(1)
    .optional(),
  part: z
    .discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('near'), distance: z.number() }),
      z.strictObject({ kind: z.literal('far') }),
    ])
    .optional(),
  driven: z.union([z.enum(['all', 'one']), z.array(whole(1, 64))]).optional(),
});

function complaint(text: string): string {
  try {
    parseYaml(text, schema, { file: 'x.yaml' });
  } catch (error) {
    if (error instanceof DocumentError) return error.message;
    throw error;
  }
  throw new Error('the text was accepted');
}

describe('parseYaml', () => {
  it('gives values in base units', () => {
    const text =
      'name: a\npower: 50 mW\nshare: 1/8\nlevel: 4 V peak\nloads: [{nominal: 8 Ω, tempco: 50 ppm/K}]\n';
    expect(parseYaml(text, schema, { file: 'x.yaml' })).toEqual({
      name: 'a',
      power: 0.05,
      share: 0.125,
      level: 4,
      loads: [{ nominal: 8, tempco: 50e-6 }],
    });
  });

  it('takes a plain ratio as a bare number and ignores a byte order mark', () => {
    expect(parseYaml('\ufeffname: a\nshare: 0.5\n', schema, { file: 'x.yaml' }).share).toBe(0.5);
  });

  it('lists every fault with file, line, column, path and what would be right', () => {
    const text = [
      'name: ""',
      'powr: 3 W',
      'power: 8 ohm',
      'loads:',
      '  - nominal: -8 ohm',
      '    tempco: 5',
      '  - {}',
      'part:',
      '  kind: middle',
      'driven: some',
      'count: 1.5',
    ].join('\n');
    expect(complaint(text).split('\n')).toEqual([
      'x.yaml has 9 faults:',
      '  x.yaml:1:7: name: the text is empty; write something',
      "  x.yaml:2:1: powr: unknown key 'powr'; did you mean 'power'?",
      "  x.yaml:3:8: power: expected a power such as 50 mW or 100 W, got '8 ohm'; 'ohm' is the unit of a resistance",
      "  x.yaml:5:14: loads[1].nominal: expected a resistance of at least 100 mohm, got '-8 ohm'",
      '  x.yaml:6:13: loads[1].tempco: expected a temperature coefficient such as 50 ppm/K or 0.4 %/K, got the bare number 5; give the unit',
      '  x.yaml:7:5: loads[2].nominal: is missing; give a resistance such as 8 ohm or 100 mohm',
      "  x.yaml:9:9: part.kind: expected one of 'near', 'far', got 'middle'",
      "  x.yaml:10:9: driven: expected one of 'all', 'one', got 'some'",
      "  x.yaml:11:8: count: expected a whole number, got '1.5'.",
    ]);
  });

  it('points at a missing key by its map and says that it is missing', () => {
    expect(complaint('count: 1')).toBe('x.yaml:1:1: name: is missing.');
    expect(complaint('name: a\npart: {kind: near}')).toBe('x.yaml:2:7: part.distance: is missing.');
    expect(complaint('name: a\npart: {}')).toBe("x.yaml:2:7: part.kind: is missing; one of 'near', 'far'.");
  });

  it('keeps faults apart that stand at the same place', () => {
    const two = z.strictObject({ a: quantity('W'), b: quantity('W') });
    expect(() => parseYaml('{}', two, { file: 'x.yaml' })).toThrow(
      /^x\.yaml has 2 faults:\n.* a: is missing.*\n.* b: is missing/,
    );
  });

  it('lists the known keys when none is near', () => {
    expect(complaint('name: a\npart: {kind: far, elephant: 1}')).toBe(
      "x.yaml:2:19: part.elephant: unknown key 'elephant'; known here: kind.",
    );
  });

  it('complains about the item of a list when the list was meant', () => {
    expect(complaint('name: a\ndriven: [1, 99]')).toBe(
      "x.yaml:2:13: driven[2]: expected a number at most 64, got '99'.",
    );
  });

  it('says of a list that is too long that it is, although something else could stand there', () => {
    const long = `[${Array(9).fill('{nominal: 8 ohm}').join(', ')}]`;
    const either = z.strictObject({
      loads: z.union([z.strictObject({ nominal: quantity('ohm') }), z.array(z.unknown()).max(8)]),
    });
    const read = () => parseYaml(`loads: ${long}`, either, { file: 'x.yaml' });
    expect(read).toThrow('x.yaml:1:8: loads: a list of 9; it needs at most 8.');
  });

  it('does not say of a list in the place of a text that it is empty as well', () => {
    expect(complaint('name: []')).toBe('x.yaml:1:7: name: expected a text, got a list.');
  });

  it('lists 50 faults at most and counts the others', () => {
    const text = `name: a\n${Array.from({ length: 67 }, (_, i) => `unheard${i}: 1`).join('\n')}`;
    const lines = complaint(text).split('\n');
    expect(lines).toHaveLength(52);
    expect(lines[0]).toBe('x.yaml has 67 faults:');
    expect(lines.at(-1)).toBe('  and 17 more.');
  });

  it('refuses numbers that are not finite decimal numbers', () => {
    const near = (text: string) => complaint(`name: a\npart: {kind: near, distance: ${text}}`);
    expect(near('.nan')).toMatch(/^x\.yaml:2:30: part\.distance: expected a plain number, got 'NaN'\.$/);
    expect(near('.inf')).toMatch(/expected a plain number, got 'Infinity'/);
    expect(near('1e999')).toMatch(/expected a plain number, got 'Infinity'/);
    expect(near('0x10')).toMatch(/'0x10' is not a decimal number/);
  });

  it('refuses a document that is not a map', () => {
    expect(complaint('- 1')).toBe('x.yaml:1:1: expected keys with values, got a list.');
    expect(complaint('hello')).toBe("x.yaml:1:1: expected keys with values, got 'hello'.");
    expect(complaint('')).toBe('x.yaml:1:1: the file is empty.');
    expect(complaint('# only a remark\n')).toContain('the file is empty');
  });
});
