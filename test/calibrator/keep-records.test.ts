import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import type { DraftValue } from '../../src/calibration/draft-record.js';
import { readRecord } from '../../src/calibration/record-file.js';
import { keepRecord } from '../../src/calibrator/keep-records.js';
import { DocumentError } from '../../src/schema/document-error.js';

const top = mkdtempSync(join(tmpdir(), 'ohmest-records-'));
afterAll(() => rmSync(top, { recursive: true, force: true }));
let folders = 0;
function folder(): string {
  folders += 1;
  const path = join(top, `${folders}`);
  mkdirSync(path);
  return path;
}

const draft: DraftValue = {
  kind: 'output',
  channel: 1,
  value: 2.83,
  date: '2026-03-01',
  due: null,
  instrument: null,
  serial: null,
  by: 'Ada',
  temperature_C: null,
  notes: null,
  bench: 'invented',
  uncertainty: { standard_percent: 0.1, freedom: null },
  linearityLimits_percent: null,
  stabilityLimits_percent: null,
};

describe('keepRecord', () => {
  it('leaves one whole record of the day, and the next beside it, with nothing else in the folder', () => {
    const into = folder();
    const paths = [keepRecord(into, 'output-1', draft), keepRecord(into, 'output-1', draft)];
    expect(readdirSync(into).sort()).toEqual(['output-1-2026-03-01-2.yaml', 'output-1-2026-03-01.yaml']);
    for (const path of paths)
      expect(readRecord(readFileSync(path), path, 'output-1-2026-03-01').value).toBeCloseTo(2.83, 8);
  });

  it('leaves nothing behind when what was found fits no record, and says what does not', () => {
    const into = folder();
    const broken = { ...draft, by: 'a\nkind: input' };
    expect(() => keepRecord(into, 'output-1', broken)).toThrow(DocumentError);
    expect(() => keepRecord(into, 'output-1', broken)).toThrow(/by: the text has line breaks/);
    expect(readdirSync(into)).toEqual([]);
  });

  it('says where it cannot write', () => {
    const into = folder();
    const file = join(into, 'file');
    writeFileSync(file, 'kept');
    expect(() => keepRecord(file, 'output-1', draft)).toThrow(/output-1.*cannot be written \(ENOTDIR\)/);
    expect(readFileSync(file, 'utf8')).toBe('kept');
  });
});
