import { createHash } from 'node:crypto';
import type { RunContent } from '../../src/bundle/content.js';
import type { PackedCapture, PackedSettling } from '../../src/bundle/run-schema.js';
import { identityOfRun } from '../../src/bundle/seal.js';
import { usedRecords } from '../../src/calibration/used-records.js';
import type { FoundRuns, Page, RunNames, RunSearch, RunSummary } from '../../src/record/run-list.js';
import type { RunPart } from '../../src/record/run-part.js';
import type { Permit, RunRecord } from '../../src/record/run-record.js';
import type {
  FiledPermit,
  Incoming,
  ReadParts,
  Resumption,
  RunFilter,
  RunStart,
  RunStore,
  StoredSettling,
} from '../../src/store/contract/run-store.js';
import type { Ending, RunWriter } from '../../src/store/contract/run-writer.js';
import {
  CaptureMissing,
  PermitTaken,
  RunBusy,
  RunComplete,
  RunImported,
  RunNotFound,
  RunPresent,
} from '../../src/store/contract/store-errors.js';

const PLACE = 'memory';

/** A run, and what is kept beside it. */
interface Kept {
  record: RunRecord;
  readonly settlings: PackedSettling[];
  readonly captures: Map<number, PackedCapture & { readonly bytes: Uint8Array }>;
}

/** Runs in memory: as little as the contract of a store needs, to show that nothing in it is SQLite's. */
export class InMemoryStore implements RunStore {
  readonly place = PLACE;
  readonly notices: readonly string[] = [];
  readonly #runs: Kept[] = [];
  readonly #permits: Permit[] = [];

  async begin({ unit, bench, plan, version, checklist, claim = null, permit }: RunStart): Promise<RunWriter> {
    const { name, kind, rate_Hz, text, sha256 } = bench;
    const record: RunRecord = {
      run: this.#runs.length + 1,
      outcome: 'running',
      reason: '',
      started: new Date().toISOString(),
      ended: null,
      version,
      unit,
      bench: { name, kind, rate_Hz, text, sha256 },
      sequence: { name: plan.name, ...plan.sequence },
      calibration: usedRecords(bench).map((one) => ({
        id: one.id,
        kind: one.kind,
        text: one.text,
        sha256: one.sha256,
      })),
      checklist,
      claim,
      permit: this.#permits.find(({ id }) => id === permit) ?? null,
      sessions: [],
      probes: [],
      points: [],
      readings: [],
      findings: [],
      events: [],
    };
    return new Writer(this.#keep(record));
  }

  #keep(record: RunRecord): Kept {
    const kept: Kept = { record, settlings: [], captures: new Map() };
    this.#runs.push(kept);
    return kept;
  }

  async resume(run: number, { at_s, first_point, checklist, permit = null }: Resumption): Promise<RunWriter> {
    const kept = this.#find(run);
    const { outcome, reason, sessions, origin } = kept.record;
    if (origin) throw new RunImported(PLACE, run);
    if (outcome === 'running') throw new RunBusy(PLACE, run);
    if (outcome === 'completed') throw new RunComplete(PLACE, run);
    const session = {
      number: sessions.length + 2,
      started: new Date().toISOString(),
      at_s,
      first_point,
      before: `${outcome}: ${reason}`,
      permit,
    };
    kept.record = {
      ...kept.record,
      outcome: 'running',
      reason: '',
      ended: null,
      checklist: [...kept.record.checklist, ...checklist],
      sessions: [...sessions, session],
    };
    return new Writer(kept);
  }

  #find(run: number): Kept {
    const kept = this.#runs[run - 1];
    if (!kept) throw new RunNotFound(PLACE, run, []);
    return kept;
  }

  async runs({ run, unit, limit = this.#runs.length }: RunFilter = {}): Promise<readonly RunSummary[]> {
    return this.#runs
      .map(({ record }) => summaryOf(record))
      .filter((one) => (run === undefined || one.run === run) && (unit === undefined || one.unit === unit))
      .reverse()
      .slice(0, limit);
  }

  async search(search: RunSearch, { limit, offset }: Page): Promise<FoundRuns> {
    const { text = '', from = '', to = '~', ...same } = search;
    const found = (await this.runs()).filter((run) => {
      const day = run.started.slice(0, 10);
      const words = [run.unit, run.sequence, run.bench, run.reason].join('\n').toLowerCase();
      const equal = Object.entries(same).every(([key, value]) => run[key as keyof RunSummary] === value);
      return equal && day >= from && day <= to && words.includes(text.toLowerCase());
    });
    return { total: found.length, runs: found.slice(offset, offset + limit) };
  }

  async names(): Promise<RunNames> {
    const runs = await this.runs();
    const all = (key: 'unit' | 'sequence' | 'bench') => [...new Set(runs.map((run) => run[key]))].sort();
    return { units: all('unit'), sequences: all('sequence'), benches: all('bench') };
  }

  async run(run: number, { harmonics = true, spectra = true }: ReadParts = {}): Promise<RunRecord> {
    const { record, captures } = this.#find(run);
    const readings = record.readings.map((reading) => ({
      ...reading,
      harmonics: harmonics ? reading.harmonics : [],
      spectrum: spectra ? reading.spectrum : null,
      capture: captures.get(reading.point)?.channels.includes(reading.channel) ? `${reading.point}` : null,
    }));
    return { ...record, readings, identity: identityOfRun(this.#contentOf(this.#find(run))) };
  }

  #contentOf({ record, settlings }: Kept) {
    return { record, settlings, permits: record.permit ? [record.permit] : [] };
  }

  async settlings(run: number, step: string): Promise<readonly StoredSettling[]> {
    const { record, settlings } = this.#find(run);
    const own = new Set(record.points.filter((point) => point.step === step).map(({ number }) => number));
    return settlings
      .filter(({ point }) => own.has(point))
      .map(({ point, channel, level, residue }) => ({
        point,
        channel,
        settling: { settled: true, level, residue },
      }));
  }

  async captures(run: number): Promise<readonly PackedCapture[]> {
    return [...this.#find(run).captures.values()].map(({ bytes: _bytes, ...capture }) => capture);
  }

  async capture(run: number, point: number): Promise<Uint8Array> {
    const capture = this.#find(run).captures.get(point);
    if (!capture) throw new CaptureMissing(PLACE, `no capture was kept of point ${point} of run ${run}`);
    return capture.bytes;
  }

  async content(run: number): Promise<RunContent> {
    const { settlings } = this.#find(run);
    const record = await this.run(run);
    if (record.outcome === 'running') throw new RunBusy(PLACE, run);
    return {
      record,
      settlings,
      permits: record.permit ? [record.permit] : [],
      captures: await this.captures(run),
    };
  }

  async importRun({ content, identity, carried, capture }: Incoming): Promise<number> {
    const known = this.#runs.find((kept) => identityOfRun(this.#contentOf(kept)) === identity);
    if (known) throw new RunPresent(PLACE, known.record.run);
    const taken = content.permits.find(({ id }) => this.#permits.some((permit) => permit.id === id));
    if (taken) throw new PermitTaken(PLACE, taken.id);
    const bytes: Uint8Array[] = [];
    for (const { point } of carried) bytes.push(await capture(point));
    this.#permits.push(...content.permits);
    const run = this.#runs.length + 1;
    const origin = { run: content.record.run, identity, imported: new Date().toISOString() };
    const kept = this.#keep({ ...content.record, run, origin });
    kept.settlings.push(...content.settlings);
    carried.forEach((one, i) => void kept.captures.set(one.point, { ...one, bytes: bytes[i]! }));
    return run;
  }

  async sign(permit: Permit): Promise<void> {
    this.#permits.push(permit);
  }

  async permits(): Promise<readonly FiledPermit[]> {
    const user = (id: string) =>
      this.#runs.find(
        ({ record }) => record.permit?.id === id || record.sessions.some(({ permit }) => permit === id),
      );
    const newest = [...this.#permits].sort((a, b) => (a.signed < b.signed ? 1 : -1));
    return newest.map((permit) => ({ permit, run: user(permit.id)?.record.run ?? null }));
  }

  async discard(): Promise<void> {
    await this.close();
  }

  async close(): Promise<void> {
    for (const kept of this.#runs)
      if (kept.record.outcome === 'running')
        kept.record = { ...kept.record, outcome: 'interrupted', reason: 'closed' };
  }
}

function summaryOf({ run, outcome, reason, started, ended, version, ...record }: RunRecord): RunSummary {
  return {
    run,
    outcome,
    reason,
    started,
    ended,
    version,
    unit: record.unit.label,
    bench: record.bench.name,
    bench_kind: record.bench.kind,
    sequence: record.sequence.name,
    sequence_sha256: record.sequence.sha256,
    points: record.points.length,
    imported_from: record.origin?.run ?? null,
  };
}

class Writer implements RunWriter {
  readonly #kept: Kept;

  constructor(kept: Kept) {
    this.#kept = kept;
  }

  get run(): number {
    return this.#kept.record.run;
  }

  async append(part: RunPart): Promise<void> {
    const { record, captures } = this.#kept;
    if (record.outcome !== 'running') throw new Error(`run ${record.run} is closed and takes nothing more`);
    if (part.kind !== 'capture') {
      this.#kept.record = withPart(record, part);
      if (part.kind === 'point') this.#keepSettlings(part);
      return;
    }
    const { kind: _kind, ...capture } = part;
    captures.set(part.point, { ...capture, sha256: createHash('sha256').update(part.bytes).digest('hex') });
  }

  #keepSettlings({ point, readings, settlings = [] }: Extract<RunPart, { kind: 'point' }>): void {
    readings.forEach(({ channel }, i) => {
      const settling = settlings[i];
      if (settling)
        this.#kept.settlings.push({
          point: point.number,
          channel,
          level: settling.level,
          residue: settling.residue,
        });
    });
  }

  async finish({ outcome, reason }: Ending): Promise<void> {
    if (this.#kept.record.outcome !== 'running') return;
    this.#kept.record = { ...this.#kept.record, outcome, reason, ended: new Date().toISOString() };
  }
}

function withPart(record: RunRecord, part: Exclude<RunPart, { kind: 'capture' }>): RunRecord {
  switch (part.kind) {
    case 'point':
      return {
        ...record,
        points: [...record.points, part.point],
        readings: [...record.readings, ...part.readings],
      };
    case 'finding':
      return { ...record, findings: [...record.findings, part.finding] };
    case 'event':
      return { ...record, events: [...record.events, part.event] };
    case 'sample':
      return { ...record, probes: [...record.probes, part.sample] };
  }
}
