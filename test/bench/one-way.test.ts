import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';

const ROOT = join(import.meta.dirname, '../..');
const files = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => ({
    name: name.replaceAll('\\', '/'),
    text: readFileSync(join(ROOT, 'src', name), 'utf8').replaceAll(/import type [^;]*;/g, ''),
  }));
const having = (pattern: RegExp) =>
  files
    .filter(({ text }) => pattern.test(text))
    .map(({ name }) => name)
    .sort();

/** Who starts programs, and what each is called in docs/programs.md. */
const STARTERS = {
  'bench/audio/host-process.ts': 'The sound process',
  'bench/command/process-group.ts': 'The program of a `kind: command` bench',
  'bench/keep-awake.ts': 'The program that keeps the computer awake',
  'bench/sensors/sensor-program.ts': 'The program of a sensor',
} as const;

describe('a program is started in one way', () => {
  it('from one file', () => {
    expect(having(/child_process|worker_threads|node:cluster/)).toEqual(['bench/start-program.ts']);
    expect(having(/\bprocess\.(binding|dlopen)|\bchild_process\b.*require/)).toEqual([]);
  });

  it('for nobody but those that docs/programs.md lists', () => {
    expect(having(/\bstartProgram\(/)).toEqual([...Object.keys(STARTERS), 'bench/start-program.ts']);
    const page = readFileSync(join(ROOT, 'docs/programs.md'), 'utf8');
    for (const words of Object.values(STARTERS)) expect(page).toContain(words);
  });

  it('on a bench that only a consent and a hold lead to', () => {
    expect(having(/\bmakeBench\(/)).toEqual(['bench/held-bench.ts']);
    expect(having(/[ .](CommandBench|StreamBench|AudioBench)\(/)).toEqual([
      'bench/audio/audio-kind.ts',
      'bench/command/command-kind.ts',
    ]);
    expect(having(/\bBENCH_KINDS\b/)).toEqual(['bench/kinds.ts']);
    expect(having(/\bProgramConsent\.by/)).toEqual(['cli/run/consent.ts', 'cli/run/demo.ts']);
  });
});
