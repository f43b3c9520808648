import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { PermitRefused, permitFor } from '../../../src/cli/run/use-permit.js';
import { benchFingerprint } from '../../../src/safety/bench-fingerprint.js';
import { PermitSlips } from '../../../src/store/state/permit-slips.js';
import { stateFolder } from '../../../src/store/state/state-folder.js';
import { InMemoryStore } from '../../store/in-memory.js';
import { inventedBench, inventedPlan, inventedRun } from '../../store/invented-run.js';

const before = process.env.XDG_STATE_HOME;
let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-use-permit-'));
  process.env.XDG_STATE_HOME = folder;
});
afterEach(() => {
  process.env.XDG_STATE_HOME = before;
  if (before === undefined) delete process.env.XDG_STATE_HOME;
  rmSync(folder, { recursive: true, force: true });
});

async function filed() {
  const db = join(folder, 'runs.db');
  writeFileSync(db, '');
  const [plan, setup] = [inventedPlan('Rated', 'name: Rated'), inventedBench('Bench', 'name: Bench', [])];
  const permit = {
    ...{ id: 'p-234567', sequence: plan.name, sequence_sha256: plan.sequence.sha256 },
    ...{ bench: setup.name, bench_fingerprint: benchFingerprint(setup), claim: null, by: 'Ada' },
    signed: new Date(Date.now() - 1000).toISOString(),
    expires: new Date(Date.now() + 3_600_000).toISOString(),
    ...{ worst: {}, checklist: [{ item: 'x', answer: 'yes' }] },
  };
  const store = new InMemoryStore();
  await store.sign(permit);
  new PermitSlips(stateFolder()).sign(permit, db);
  return { plan, setup, db, permit, store };
}

it('a permit is spent by the run that begins, and not by one that cannot', async () => {
  const { plan, setup, db, permit, store } = await filed();
  const usable = () => permitFor({ plan, setup, claim: null }, permit.id, { db, store: async () => store });

  const full = (await usable()).begin(async () => {
    throw new Error('the disk is full');
  });
  await expect(full).rejects.toThrow('the disk is full');
  const late = await usable();
  expect(await (await usable()).begin(async (id) => id)).toBe(permit.id);
  await expect(late.begin(async (id) => id)).rejects.toThrow(PermitRefused);
});

it('a permit covers further sessions of its run as long as nobody has been at the bench since', async () => {
  const { plan, setup, db, permit, store } = await filed();
  const place = { db, store: async () => store };
  const { run } = await (await permitFor({ plan, setup, claim: null }, permit.id, place)).begin((id) =>
    store.begin({ ...inventedRun(), permit: id }),
  );
  const answer = (at: string) => ({ item: 'x', answer: 'yes', by: 'Ada', at });
  const again = (at: string) =>
    permitFor({ plan, setup, claim: null }, permit.id, place, { run, checklist: [answer(at)] });
  expect(await (await again(permit.signed)).begin(async (id) => id)).toBeNull();
  await expect(again(new Date().toISOString())).rejects.toThrow(/a person has continued the run/);
});
