import { type JudgedClaim, judgeRun } from '../../judgement/judged-run.js';
import type { Finding } from '../../record/finding.js';
import { findingsOf, unknownFindingsOf } from '../../record/findings-of.js';
import type { Result } from '../../record/old-results.js';
import { quantityNamed } from '../../record/quantities.js';
import { resultsOfFindings } from '../../record/results-of-findings.js';
import type { Reading, RunRecord } from '../../record/run-record.js';
import { groupBy } from '../../units/group-by.js';
import { bandsOf, DEFINITIONS } from '../model/definitions.js';
import { findingName } from '../model/finding-words.js';
import { notesOf, noteWords } from '../model/reason-words.js';

/**
 * A run as `show --json`, `run --json` and `export --format json` print it: the record judged by its claim, with the
 * definitions its figures rest on, and with the measuring bands beside every result. `findings` are what the steps
 * concluded, `results` the same as scripts have always had them. Spectra stay in the
 * database: they are thinned for drawing, and would be most of the document.
 *
 * Field names carry their unit; channels count from 1; a value that does not exist is null.
 *
 * @param claim a claim to judge the run by besides its own; null without
 * @throws DocumentError when that is no claim
 */
export function showDocument(record: RunRecord, claim: string | null = null): object {
  const { run, outcome, reason, findings: _kept, readings, ...rest } = record;
  const findings = findingsOf(record);
  const { claims, ratings, protocol } = judgeRun(record, claim);
  const bandsBehind = bandsByPlace(readings);
  return {
    run,
    outcome,
    reason,
    results: resultsOfFindings(findings, noteWords).map((result) => ({
      ...result,
      bands_Hz: bandsBehind(result),
    })),
    readings: readings.map(({ spectrum: _drawn, ...reading }) => reading),
    verdicts: claims.map(verdictDocument),
    ratings,
    protocol_check: protocol,
    findings: [
      ...findings.map((finding) => ({ ...finding, ...named(finding) })),
      // Of a later version: as they are stored.
      ...unknownFindingsOf(record),
    ],
    ...rest,
    definitions: { ...DEFINITIONS, harmonics: [2, 20], coverage_factor: 2 },
  };
}

/** A verdict with its claim as text and as terms; `not_tested` and the rest as they are. */
function verdictDocument({ text, verdict, left_open, stored }: JudgedClaim): object {
  const { claim, verdict: word, reason, conformance, ...rest } = verdict;
  return {
    claim: text,
    verdict: word,
    reason,
    ...rest,
    conformance_probability: conformance,
    left_open,
    stored,
    claim_terms: claim,
  };
}

/** Unit, name and words of a finding, which a reader would otherwise have to look up. */
const named = (finding: Finding) => ({
  unit: quantityNamed(finding.quantity)?.unit ?? null,
  name: findingName(finding),
  notes: notesOf(finding),
});

/** The bands of the readings that a result was made from: one, unless a sweep changed its band on the way. */
function bandsByPlace(
  readings: readonly Reading[],
): (result: Pick<Result, 'step' | 'channel'>) => readonly (readonly [number, number])[] {
  const places = groupBy(readings, ({ channel, step }) => `${channel} ${step}`);
  const bands = new Map([...places].map(([key, own]) => [key, bandsOf(own)] as const));
  return ({ step, channel }) => bands.get(`${channel} ${step}`) ?? [];
}

/** A run as one JSON document, the same as `show --json` prints, with a line end after it. */
export const jsonExport = (record: RunRecord): string => `${JSON.stringify(showDocument(record), null, 2)}\n`;
