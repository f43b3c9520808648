import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { afterEach, describe, expect, it } from 'vitest';
import { type OpenBundle, readBundle } from '../../src/bundle/read-bundle.js';
import { writeBundle } from '../../src/bundle/write-bundle.js';
import { DIED } from '../../src/record/end-cause.js';
import type { Permit } from '../../src/record/run-record.js';
import { openRuns, type SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedCapture, packedRun, recordWithCaptures } from '../bundle/packed.js';
import { inventedRun, recordRun } from './invented-run.js';
import { scratchFile, scratchFolder, thrownBy } from './scratch.js';

const NOW = '2032-05-06T07:08:09.000Z';
const open: { close(): void }[] = [];
afterEach(() => {
  for (const one of open.splice(0)) one.close();
});

function database(): SqliteRuns {
  const store = openRuns(scratchFile(), { mode: 'create', now: () => new Date(NOW) });
  open.push(store);
  return store;
}

async function opened(path: string): Promise<OpenBundle> {
  const bundle = await readBundle(path);
  open.push(bundle);
  return bundle;
}

const capturesOf = ({ file }: SqliteRuns): string[] =>
  existsSync(`${file}.captures`) ? readdirSync(`${file}.captures`) : [];

const capturesNamed = (store: SqliteRuns, run: number): string[] =>
  store.run(run).readings.flatMap(({ capture }) => capture ?? []);

const failure = (work: Promise<unknown>): Promise<unknown> =>
  work.then(
    () => expect.unreachable('it was taken in'),
    (error: unknown) => error,
  );

const permit: Permit = {
  id: 'p-1',
  sequence: 'rated power',
  sequence_sha256: '5'.repeat(64),
  bench: 'invented bench',
  bench_fingerprint: 'b'.repeat(64),
  claim: null,
  by: 'invented person',
  signed: '2026-03-01T09:00:00.000Z',
  expires: '2026-03-01T21:00:00.000Z',
  worst: { power_W: 100, odd: Number.POSITIVE_INFINITY },
  checklist: [{ item: 'Is the fan on?', answer: 'yes' }],
};

describe('a run that is brought in', () => {
  it('gets a number of its own and is all that it was, with where it came from', async () => {
    const { bundle, content } = await packedRun();
    const store = database();
    recordRun(store, inventedRun('another unit'), 'completed', '');
    const incoming = await opened(bundle);
    const run = await store.importRun(incoming);
    expect(run).toBe(2);
    const brought = store.content(run);
    const origin = { run: 1, identity: incoming.identity, imported: NOW };
    const anonymous = (record: (typeof content)['record']) => ({
      ...record,
      readings: record.readings.map((reading) => ({ ...reading, capture: null })),
    });
    expect({ ...brought, record: anonymous(brought.record) }).toEqual({
      ...content,
      record: { ...anonymous(content.record), run: 2, origin },
    });
    expect(store.runs().map(({ imported_from }) => imported_from)).toEqual([1, null]);
  });

  it('has its captures, under names of our own making, within the folder for them', async () => {
    const { bundle } = await packedRun();
    const store = database();
    const run = await store.importRun(await opened(bundle));
    for (const point of [1, 2])
      expect(Buffer.from(store.capture(run, point)).equals(Buffer.from(inventedCapture(point)))).toBe(true);
    expect(thrownBy(() => store.capture(run, 3))).toMatchObject({ code: 'CAPTURE_MISSING' });
    for (const name of capturesOf(store))
      expect(name).toMatch(/^import-[0-9a-f]{12}-point-000[12]-[0-9a-f]{8}\.wav$/);
    const named = store.run(run).readings.map(({ capture }) => capture);
    expect(new Set(named)).toEqual(new Set([...capturesOf(store), null]));
  });

  it('is taken in once, and not into the database that it was made into', async () => {
    const { bundle, database: home } = await packedRun();
    const store = database();
    await store.importRun(await opened(bundle));
    const files = capturesOf(store);
    const again = { code: 'RUN_PRESENT', message: expect.stringContaining('it is run 1') };
    expect(await failure(store.importRun(await opened(bundle)))).toMatchObject(again);
    expect(capturesOf(store)).toEqual(files);
    expect(store.runs()).toHaveLength(1);
    const first = openRuns(home, { mode: 'write' });
    open.push(first);
    expect(await failure(first.importRun(await opened(bundle)))).toMatchObject(again);
  });

  it('is one run whoever packs it: packed again where it was brought, it gives the same bytes', async () => {
    const { bundle } = await packedRun();
    const store = database();
    const incoming = await opened(bundle);
    const run = await store.importRun(incoming);
    const path = join(scratchFolder(), 'again.ohmest');
    const packed = await writeBundle(path, store.content(run), '0.1.0', async (point) =>
      store.capture(run, point),
    );
    expect(packed.identity).toBe(incoming.identity);
    expect(readFileSync(path).equals(readFileSync(bundle))).toBe(true);
  });

  it('cannot be gone on with', async () => {
    const { bundle } = await packedRun();
    const store = database();
    const run = await store.importRun(await opened(bundle));
    const resumption = { at_s: 1, first_point: 4, checklist: [] };
    expect(thrownBy(() => store.resumeRun(run, resumption))).toMatchObject({ code: 'RUN_IMPORTED' });
  });

  it('shows as broken off when its program had died', async () => {
    const home = openRuns(scratchFile(), { mode: 'create' });
    const writer = home.createRun(inventedRun());
    writer.abandon();
    const path = join(scratchFolder(), 'died.ohmest');
    await writeBundle(path, home.content(writer.run), '0.1.0', null);
    const died = { outcome: 'interrupted', reason: DIED, ended: null };
    const store = database();
    expect(store.run(await store.importRun(await opened(path)))).toMatchObject(died);
    expect(await failure(home.importRun(await opened(path)))).toMatchObject({ code: 'RUN_PRESENT' });
    home.close();
  });

  it('brings the permits of the run and its sessions, used up as they are', async () => {
    const home = openRuns(scratchFile(), { mode: 'create' });
    home.sign(permit);
    home.sign({ ...permit, id: 'p-2' });
    home.sign({ ...permit, id: 'p-3' });
    const run = recordRun(home, { ...inventedRun(), permit: 'p-1', claim: '100 W' }, 'tripped', 'too hot');
    home
      .resumeRun(run, { at_s: 9, first_point: 4, checklist: [], permit: 'p-2' })
      .finish({ outcome: 'completed', reason: '' });
    const path = join(scratchFolder(), 'permitted.ohmest');
    await writeBundle(path, home.content(run), '0.1.0', null);
    const store = database();
    const here = await store.importRun(await opened(path));
    expect(
      store
        .permits()
        .map(({ permit: { id }, run: user }) => [id, user])
        .sort(),
    ).toEqual([
      ['p-1', here],
      ['p-2', here],
    ]);
    expect(store.run(here)).toMatchObject({
      permit,
      claim: '100 W',
      sessions: [{ number: 2, permit: 'p-2' }],
    });
    home.close();
    const other = database();
    other.sign({ ...permit, id: 'p-2' });
    expect(await failure(other.importRun(await opened(path)))).toMatchObject({ code: 'PERMIT_TAKEN' });
    expect(other.runs()).toEqual([]);
    expect(other.permits()).toHaveLength(1);
  });
});

describe('an import that fails', () => {
  it('leaves no row and no file when a capture is not what the run says', async () => {
    const { bundle } = await packedRun();
    const store = database();
    const incoming = await opened(bundle);
    const torn = {
      ...incoming,
      capture: async (point: number) => {
        if (point === 2) throw new Error('torn on the way');
        return await incoming.capture(point);
      },
    };
    expect(await failure(store.importRun(torn))).toMatchObject({ message: 'torn on the way' });
    expect([store.runs(), capturesOf(store)]).toEqual([[], []]);
  });

  it('leaves no row and no file when the rows cannot be written', async () => {
    const { bundle } = await packedRun();
    const store = database();
    const incoming = await opened(bundle);
    // A figure that no database keeps: it would come back as none.
    const { record } = incoming.content;
    const readings = record.readings.map((one) => ({ ...one, thd_percent: Number.NaN }));
    const odd = { ...incoming, content: { ...incoming.content, record: { ...record, readings } } };
    expect(await failure(store.importRun(odd))).toMatchObject({ code: 'RUN_NOT_KEPT' });
    expect([store.runs(), capturesOf(store), store.permits()]).toEqual([[], [], []]);
  });

  it('is refused in words by a database that is gone, or only open to be read', async () => {
    const { bundle } = await packedRun();
    const store = database();
    rmSync(store.file);
    expect(await failure(store.importRun(await opened(bundle)))).toMatchObject({ code: 'STORE_MISSING' });
    const file = scratchFile();
    openRuns(file, { mode: 'create' }).close();
    const reader = openRuns(file, { mode: 'read' });
    open.push(reader);
    expect(await failure(reader.importRun(await opened(bundle)))).toMatchObject({ exitStatus: 2 });
  });
});

describe('an import that is killed', { timeout: 90_000 }, () => {
  it.each([
    ['captures', 'captures 1'],
    ['rows', 'rows in'],
  ])(
    'while it writes its %s leaves a database that opens, without a part of the run',
    async (place, sign) => {
      const { bundle } = await packedRun();
      const file = scratchFile();
      const before = openRuns(file, { mode: 'create' });
      recordWithCaptures(before, inventedRun('here before'));
      before.close();
      const script = join(import.meta.dirname, 'programs', 'import-slowly.ts');
      const child = spawn(process.execPath, ['--import', 'tsx', script, file, bundle, place], {
        stdio: ['ignore', 'pipe', 'inherit'],
      });
      const gone = once(child, 'exit');
      for await (const line of createInterface({ input: child.stdout })) if (line === sign) break;
      child.kill('SIGKILL');
      expect((await gone)[1]).toBe('SIGKILL');
      const store = openRuns(file, { mode: 'write' });
      open.push(store);
      expect(store.runs().map(({ unit }) => unit)).toEqual(['here before']);
      expect(store.permits()).toEqual([]);
      // And nothing stands in the way of another try.
      const run = await store.importRun(await opened(bundle));
      expect(store.capture(run, 2)).toBeInstanceOf(Uint8Array);
      // Which takes away what the killed one has left.
      const brought = capturesOf(store).filter((name) => name.startsWith('import-'));
      expect(new Set(brought)).toEqual(new Set(capturesNamed(store, run)));
    },
  );
});
