import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Permit } from '../../../src/record/run-record.js';
import { PermitSlips } from '../../../src/store/state/permit-slips.js';

const PERMIT: Permit = {
  ...{ id: 'p-234567', sequence: 'Short', sequence_sha256: 'a', bench: 'Bench', bench_fingerprint: 'b' },
  ...{ claim: null, by: 'Ada', signed: '2026-03-01T00:00:00Z', expires: '2026-03-01T12:00:00Z' },
  ...{ worst: {}, checklist: [{ item: 'x', answer: 'yes' }] },
};

let top = '';
beforeEach(() => {
  top = mkdtempSync(join(tmpdir(), 'ohmest-slips-'));
  writeFileSync(join(top, 'a.db'), '');
});
afterEach(() => rmSync(top, { recursive: true, force: true }));
const slips = () => new PermitSlips(join(top, 'state'));
const db = () => join(top, 'a.db');

describe('the slip of a permit', () => {
  it('lets one run take it at a time, whoever tries, and spends it once', () => {
    slips().sign(PERMIT, db());
    expect(slips().faults(PERMIT, db())).toEqual([]);
    const taken = slips().take(PERMIT);
    expect([slips().take(PERMIT), slips().take(PERMIT)]).toEqual([null, null]);
    taken!.spend();
    expect(slips().take(PERMIT)).toBeNull();
  });

  it('can be taken again where no run could begin', () => {
    slips().sign(PERMIT, db());
    slips().take(PERMIT)!.giveBack();
    expect(slips().take(PERMIT)).not.toBeNull();
    expect(slips().take(PERMIT)).toBeNull();
  });

  it('can be taken again after a kill, by one, which others that saw the dead one cannot undo', () => {
    slips().sign(PERMIT, db());
    slips().take(PERMIT);
    const folder = join(top, 'state', 'permits');
    const left = readdirSync(folder).find((name) => name.endsWith('.try-1'))!;
    const dead = spawnSync(process.execPath, ['-e', '']).pid;
    writeFileSync(join(folder, left), JSON.stringify({ pid: dead }));
    const taken = slips().take(PERMIT);
    expect(slips().take(PERMIT)).toBeNull();
    taken!.giveBack();
    slips().take(PERMIT)!.spend();
    expect(slips().take(PERMIT)).toBeNull();
  });

  it('is held by whoever does not say who it is', () => {
    slips().sign(PERMIT, db());
    slips().take(PERMIT);
    const folder = join(top, 'state', 'permits');
    writeFileSync(join(folder, readdirSync(folder).find((name) => name.endsWith('.try-1'))!), '');
    expect(slips().take(PERMIT)).toBeNull();
  });

  it('knows a permit whatever the order of its fields', () => {
    slips().sign(PERMIT, db());
    const turned = Object.fromEntries(Object.entries(PERMIT).reverse()) as unknown as Permit;
    expect(slips().faults(turned, db())).toEqual([]);
  });

  it('is not brought along by a copy of the database', () => {
    slips().sign(PERMIT, db());
    copyFileSync(db(), join(top, 'b.db'));
    expect(slips().faults(PERMIT, join(top, 'b.db')).join()).toMatch(
      /signed for the database .*a\.db, and this is .*b\.db/,
    );
    expect(new PermitSlips(join(top, 'other')).faults(PERMIT, db())).toEqual([
      'this user has not signed it on this machine',
    ]);
  });

  it('shows that the permit was changed after it was signed', () => {
    slips().sign(PERMIT, db());
    expect(slips().faults({ ...PERMIT, expires: '2036-03-01T12:00:00Z' }, db())).toEqual([
      'it was changed in the database after it was signed',
    ]);
  });

  it('must be kept, or nothing is signed', () => {
    const blocked = new PermitSlips(db());
    expect(() => blocked.sign(PERMIT, db())).toThrow(
      expect.objectContaining({ code: 'PERMIT_NOT_KEPT', exitStatus: 2 }),
    );
  });
});
