import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, it } from 'vitest';
import { decodeWav } from '../../../src/signal/decode-wav.js';
import { type Ended, emptyFolder, filesIn, ohmest } from '../ohmest.js';

const QUICK = ['run', 'quick-look', '--bench', 'ideal-40', '--unit', 'Invented clipper'];

describe('run --json with a report and captures', () => {
  const cwd = emptyFolder();
  let ended: Ended;

  beforeAll(async () => {
    ended = await ohmest([...QUICK, '--db', 'a.db', '--report', 'page.html', '--captures', '--json'], {
      cwd,
    });
  });

  it('ends with status 0 and puts one JSON document on stdout and nothing else', () => {
    expect(ended.status).toBe(0);
    expect(JSON.parse(ended.stdout)).toMatchObject({
      run: 1,
      outcome: 'completed',
      unit: { label: 'Invented clipper' },
      verdicts: [],
    });
  });

  it('gives the powers at both thresholds with all the fields that are promised', () => {
    const { results } = JSON.parse(ended.stdout);
    const powers = results.filter((result: { kind: string }) => result.kind === 'power-at-thdn');
    expect(powers.map((result: { threshold_percent: number }) => result.threshold_percent)).toEqual([0.1, 1]);
    for (const power of powers) {
      expect(power).toMatchObject({ step: 'climb-1k', channel: 1, driven: [1], load_ohm: 8 });
      expect(Math.abs(power.frequency_Hz - 1000)).toBeLessThan(1);
      expect(power.power_W).toBeGreaterThan(100);
      expect(power).toHaveProperty('uncertainty_W');
    }
    expect(results.some((result: { kind: string }) => result.kind === 'knee')).toBe(true);
  });

  it('names every quantity of a reading with its unit', () => {
    const { readings } = JSON.parse(ended.stdout);
    for (const reading of readings) {
      const fields = ['power_W', 'voltage_V', 'frequency_Hz', 'thd_percent', 'thdn_percent', 'load_ohm'];
      for (const field of fields) expect(reading).toHaveProperty(field);
      expect(reading.channel).toBe(1);
    }
  });

  it('writes the report where it was asked for', () => {
    expect(readFileSync(join(cwd, 'page.html'), 'utf8')).toMatch(/^<!doctype html>[\s\S]*Invented clipper/i);
    expect(filesIn(cwd)).toEqual(['a.db', 'a.db.captures', 'page.html']);
  });

  it('keeps the capture of every point as a WAV file whose hash stands in the database', () => {
    const db = new Database(join(cwd, 'a.db'), { readonly: true });
    const captures = db.prepare('SELECT file, sha256, rate_Hz, frames FROM captures').all() as {
      file: string;
      sha256: string;
      rate_Hz: number;
      frames: number;
    }[];
    const points = db.prepare('SELECT count(*) FROM points').pluck().get();
    db.close();
    expect(captures).toHaveLength(points as number);
    for (const { file, sha256, rate_Hz, frames } of captures) {
      const bytes = readFileSync(join(cwd, 'a.db.captures', file));
      expect(createHash('sha256').update(bytes).digest('hex')).toBe(sha256);
      const wav = decodeWav(bytes, file);
      expect([wav.rate_Hz, wav.channels[0]!.length]).toEqual([rate_Hz, frames]);
    }
  });

  it('gives a capture that `analyse` reads as the run did', async () => {
    const { readings } = JSON.parse(ended.stdout);
    // The clipper distorts at its highest power; below that its THD+N is rounding, which no two FFTs share.
    const clipped = readings
      .filter((reading: { step: string }) => reading.step === 'climb-1k')
      .reduce((a: { power_W: number }, b: { power_W: number }) => (b.power_W > a.power_W ? b : a));
    expect(clipped.thdn_percent).toBeGreaterThan(0.1);
    const file = join('a.db.captures', clipped.capture);
    const again = await ohmest(['analyse', file, '--bench', 'ideal-40', '--json'], { cwd });
    const [channel] = JSON.parse(again.stdout).channels;
    expect(Math.abs(channel.rms / clipped.voltage_V - 1)).toBeLessThan(1e-6);
    expect(Math.abs(channel.thdn_percent / clipped.thdn_percent - 1)).toBeLessThan(1e-4);
  });

  it('logs the run beside the database, one JSON object a line', () => {
    const lines = readFileSync(join(cwd, 'a.db.log'), 'utf8').trim().split('\n');
    expect(lines.map((line) => JSON.parse(line).msg)).toEqual(
      expect.arrayContaining(['run begins', 'point', 'ended']),
    );
  });
});

describe('run for a person', () => {
  it('says what it found on stdout, everything else on stderr, free of escape codes when not on a terminal', async () => {
    const cwd = emptyFolder();
    const ended = await ohmest([...QUICK, '--db', 'a.db'], { cwd, env: { FORCE_COLOR: '1' } });
    expect(ended.status).toBe(0);
    expect(ended.stdout.replaceAll(/\s+/g, ' ')).toMatch(
      /100\.[89]\d* W ± \S+ W at 0\.1 %, 104\.8\d* W ± \S+ W at 1 % THD\+N, 1 kHz, 8 ohm, channel 1 driven\./,
    );
    expect(ended.stderr).toContain('hazardous to touch');
    expect(ended.stderr).toContain('This bench puts no power on any terminal');
    expect(ended.stderr).toMatch(/^ +\d % {2}.* left {2}climb-1k {2}point 1 /m);
    expect(ended.stdout + ended.stderr).not.toContain('\u001b');
  });

  it('honours NO_COLOR', async () => {
    const ended = await ohmest(['show', '1'], { env: { NO_COLOR: '1' } });
    expect(ended.stdout + ended.stderr).not.toContain('\u001b');
    expect(ended.status).toBe(2);
  });
});
