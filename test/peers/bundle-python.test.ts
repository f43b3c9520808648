import { execFileSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { packedRun, sha256 } from '../bundle/packed.js';

const PROGRAM = `
import hashlib, json, sys, zipfile
bundle = zipfile.ZipFile(sys.argv[1])
assert bundle.testzip() is None
hashes = {one.filename: hashlib.sha256(bundle.read(one)).hexdigest() for one in bundle.infolist()}
print(json.dumps({"hashes": hashes, "manifest": json.loads(bundle.read("manifest.json"))}))
`;

describe('a bundle read by the zipfile module of Python', () => {
  it('is whole, and its manifest gives the hash of each member', async () => {
    const { bundle, content } = await packedRun();
    const said = JSON.parse(execFileSync('python3', ['-c', PROGRAM, bundle], { encoding: 'utf8' }));
    expect(said.hashes['bench.yaml']).toBe(sha256(content.record.bench.text));
    const listed = said.manifest.members.map((one: { name: string; sha256: string }) => [
      one.name,
      one.sha256,
    ]);
    const { 'manifest.json': _own, ...others } = said.hashes;
    expect(Object.fromEntries(listed)).toEqual(others);
  });
});
