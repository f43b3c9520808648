/**
 * Lists what src/ exports and no other file takes: by name, or as part of a module that is loaded whole. What only tests take
 * counts as dead as well, unless `FOR_TESTS` says why.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join, normalize } from 'node:path';

const root = join(import.meta.dirname, '..');

const sources = (folder: string): string[] =>
  readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => join(folder, name));

const NAMED = /(?:import|export)\s+(?:type\s+)?\{([^}]*)\}\s*from\s*'(\.[^']+)'/g;
const WHOLE = /import\(\s*'(\.[^']+)'\s*\)|\*\s+as\s+\w+\s+from\s*'(\.[^']+)'/g;
const EXPORTED = /^export (?:abstract |async )?(?:const|function\*?|class|interface|type|enum|let) (\w+)/gm;

/** Every export that is taken, as `file#name`. */
function takenBy(files: readonly string[], texts: ReadonlyMap<string, string>): Set<string> {
  const taken = new Set<string>();
  for (const file of files) {
    const text = texts.get(file)!;
    const target = (specifier: string) => normalize(join(file, '..', specifier)).replace(/\.js$/, '.ts');
    for (const [, names = '', from = ''] of text.matchAll(NAMED))
      for (const name of names.split(','))
        taken.add(
          `${target(from)}#${name
            .trim()
            .replace(/^type /, '')
            .replace(/ as .*/, '')}`,
        );
    for (const [, loaded, star] of text.matchAll(WHOLE)) {
      const of = target((loaded ?? star)!);
      for (const [, name = ''] of (texts.get(of) ?? '').matchAll(EXPORTED))
        if (new RegExp(`\\b${name}\\b`).test(text)) taken.add(`${of}#${name}`);
    }
  }
  return taken;
}

/** @returns exports of src/ that no other file of `users` takes, as `file#name` */
export function deadExports(users: readonly string[] = ['src', 'scripts', 'bench', 'test']): string[] {
  const files = users.flatMap(sources);
  const texts = new Map(files.map((file) => [file, readFileSync(join(root, file), 'utf8')]));
  const taken = takenBy(files, texts);
  return files
    .filter((file) => file.startsWith('src'))
    .flatMap((file) => [...texts.get(file)!.matchAll(EXPORTED)].map(([, name]) => `${file}#${name}`))
    .filter((name) => !taken.has(name));
}
