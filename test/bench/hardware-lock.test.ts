import { type ChildProcess, spawn } from 'node:child_process';
import { createHash, randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { connect, createServer } from 'node:net';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { afterEach, describe, expect, it } from 'vitest';
import { holdHardware } from '../../src/bench/hardware-lock.js';
import { kindOf } from '../../src/bench/kinds.js';
import { audioSetup } from '../audio/bench-on.js';

const SCRIPT = join(import.meta.dirname, 'hold-hardware.ts');
const children: ChildProcess[] = [];
afterEach(() => {
  for (const child of children.splice(0)) child.kill('SIGKILL');
});

const named = (key: string) => [{ words: 'the invented device', key }];

/** A process of its own that wants the hardware; `said` is its first line. With `user` it runs as that one. */
function holder(key: string, command: string, user?: { readonly uid: number; readonly gid: number }) {
  const child = spawn(process.execPath, ['--import', 'tsx', SCRIPT, key, command], {
    stdio: ['pipe', 'pipe', 'inherit'],
    cwd: join(import.meta.dirname, '../..'),
    ...user,
  });
  children.push(child);
  const said = once(createInterface({ input: child.stdout! }), 'line').then(([line]) => String(line));
  return { child, said };
}

describe.runIf(process.platform === 'linux')('hardware that a run holds', () => {
  it('is refused to every other, in this process or another, with the name of the holder', async () => {
    const key = randomUUID();
    const hold = await holdHardware(named(key), 'ohmest run');
    expect(hold.gap).toBeNull();
    const refused = new RegExp(
      `the invented device is in use: ohmest run of the user \\S+, process ${process.pid}, since \\d{4}-\\d\\d-\\d\\dT`,
    );
    await expect(holdHardware(named(key), 'second')).rejects.toThrow(refused);
    expect(await holder(key, 'third').said).toMatch(refused);
    await hold.release();
    expect(await holder(key, 'fourth').said).toBe('held');
  });

  it('is let go although somebody who asked never hangs up', async () => {
    const key = randomUUID();
    const hold = await holdHardware(named(key), 'ohmest run');
    const sum = createHash('sha256').update(key).digest('hex').slice(0, 40);
    const asker = connect({ path: `\0ohmest-bench-${sum}`, allowHalfOpen: true });
    await once(asker, 'data');
    await hold.release();
    const next = await holdHardware(named(key), 'next');
    await next.release();
    asker.destroy();
  });

  it('goes to one alone of many that race for it, and to the next once that one is killed', async () => {
    const key = randomUUID();
    const racers = Array.from({ length: 5 }, (_, i) => holder(key, `racer ${i}`));
    const said = await Promise.all(racers.map((racer) => racer.said));
    expect(said.filter((line) => line === 'held')).toHaveLength(1);
    const winner = racers[said.indexOf('held')]!.child;
    for (const line of said.filter((other) => other !== 'held'))
      expect(line).toContain(`process ${winner.pid}`);
    const gone = once(winner, 'exit');
    winner.kill('SIGKILL');
    await gone;
    const next = await holdHardware(named(key), 'next');
    await next.release();
  });

  it.runIf(process.getuid?.() === 0)('is refused to another user as well', async () => {
    const key = randomUUID();
    const hold = await holdHardware(named(key), 'ohmest run');
    const other = spawn('true', { uid: 65_534, gid: 65_534 });
    const [status] = await once(other, 'exit');
    expect(status).toBe(0);
    // A name without a file has no owner: the same name is the same lock for everybody.
    const code = `require('node:net').createServer().on('error', (e) => console.log(e.code)).listen({ path: '\\0ohmest-bench-${hashOf(key)}' }, function () { console.log('held'); this.close(); })`;
    const child = spawn(process.execPath, ['-e', code], { uid: 65_534, gid: 65_534, cwd: '/' });
    const [line] = await once(createInterface({ input: child.stdout }), 'line');
    expect(line).toBe('EADDRINUSE');
    await hold.release();
  });

  it('held by a stranger who says nothing, or nonsense, is refused all the same', async () => {
    for (const answer of ['', 'not json', '{"pid": -1}', 'x'.repeat(10_000)]) {
      const key = randomUUID();
      const stranger = createServer((socket) => {
        socket.on('error', () => {});
        socket.end(answer);
      });
      stranger.listen({ path: `\0ohmest-bench-${hashOf(key)}` });
      await once(stranger, 'listening');
      await expect(holdHardware(named(key), 'ours')).rejects.toThrow(/does not say who it is/);
      stranger.close();
    }
  });

  it('is let go where only some of what is wanted is free', async () => {
    const [first, second] = [randomUUID(), randomUUID()];
    const other = await holdHardware(named(second), 'other');
    const both = [...named(first), ...named(second)];
    await expect(holdHardware(both, 'ours')).rejects.toMatchObject({ code: 'BENCH_IN_USE', exitStatus: 2 });
    await other.release();
    const hold = await holdHardware([...both, ...both], 'ours');
    await hold.release();
  });
});

const hashOf = (key: string) => createHash('sha256').update(key).digest('hex').slice(0, 40);

describe('what a sound bench holds', () => {
  const keys = (playDevice: string) => {
    const setup = audioSetup({ device: playDevice });
    return kindOf('audio')
      .hardware(setup)
      .map(({ key }) => key);
  };

  it('is its devices, whether their system is named or not', () => {
    expect(keys('Invented interface')).toContain('sound Invented interface');
    expect(keys('ALSA/Invented interface')).toEqual(
      expect.arrayContaining(['sound ALSA/Invented interface', 'sound Invented interface']),
    );
  });
});
