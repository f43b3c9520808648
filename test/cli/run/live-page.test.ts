import { once } from 'node:events';
import { connect, createServer } from 'node:net';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { applyChange, type LiveState, NOTHING_YET } from '../../../src/view/live/live-state.js';
import { until } from '../../audio/until.js';
import { emptyFolder, filesIn, ohmest, put, start } from '../ohmest.js';
import { device, LONG, programBench, SHORT } from '../stand.js';

const patient = { timeout: 90_000 };

/** Starts a run with a live page, goes in by its address, and follows what it tells. */
async function followed(args: readonly string[], cwd: string) {
  const { child, ended } = start([...args, '--unit', 'Invented unit', '--live'], { cwd, input: null });
  let said = '';
  child.stderr!.on('data', (text: string) => {
    said += text;
  });
  const address = () => /^live page: (\S+)$/m.exec(said)?.[1];
  await until('the address is printed', () => address() !== undefined || child.exitCode !== null, 60_000);
  expect(address(), said).toBeDefined();
  const url = new URL(address()!);
  const entered = await fetch(url, { redirect: 'manual' });
  const base = `${url.origin}${entered.headers.get('location')!.replace(/\/$/, '')}`;
  const cookie = entered.headers.get('set-cookie')!.split(';')[0]!;
  const told = { state: NOTHING_YET as LiveState, over: false };
  const stream = await fetch(`${base}/changes`, { headers: { cookie } });
  void follow(stream, told);
  const stop = () =>
    fetch(`${base}/stop`, {
      method: 'POST',
      headers: { cookie, origin: url.origin, 'x-ohmest-token': url.searchParams.get('token')! },
    });
  return { child, ended, told, base, cookie, stop, port: Number(url.port) };
}

async function follow(stream: Response, told: { state: LiveState; over: boolean }): Promise<void> {
  let text = '';
  for await (const part of stream.body!.pipeThrough(new TextDecoderStream())) {
    text += part;
    const whole = text.split('\n\n');
    text = whole.pop()!;
    for (const message of whole) {
      const [, event, data = ''] = /^event: (\w+)\ndata: (.*)$/.exec(message) ?? [];
      if (event === 'whole') told.state = applyChange(NOTHING_YET, JSON.parse(data));
      if (event === 'change') told.state = applyChange(told.state, JSON.parse(data));
      if (event === 'end') told.over = true;
    }
  }
}

describe('a live page', patient, () => {
  it('is refused with status 2 when its port is taken or none, and nothing is played or made', async () => {
    const other = createServer().listen(0, '127.0.0.1');
    await once(other, 'listening');
    const { port } = other.address() as { port: number };
    for (const [typed, says] of [
      [String(port), `port ${port} is taken by another program`],
      ['web', "--live 'web' is not a port"],
      ['70000', "--live '70000' is not a port"],
    ] as const) {
      const cwd = emptyFolder();
      put(cwd, { 'short.yaml': SHORT, 'bench.yaml': programBench('no'), 'device.mjs': device() });
      const args = ['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U', `--live=${typed}`];
      const ended = await ohmest(args, { cwd });
      expect(ended.status).toBe(2);
      expect(ended.stderr).toContain(says);
      expect(filesIn(cwd)).toEqual(['bench.yaml', 'device.mjs', 'short.yaml']);
    }
    other.close();
  });

  it('is there while the checklist is gone through, and can end that too: status 130, nothing played', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'short.yaml': SHORT, 'bench.yaml': programBench('practice'), 'device.mjs': device() });
    const run = await followed(['run', 'short.yaml', '--bench', 'bench.yaml'], cwd);
    expect(run.told.state.view).toBeNull();
    expect((await run.stop()).status).toBe(202);
    expect((await run.ended).status).toBe(130);
    await until('the end is told', () => run.told.over);
    expect(filesIn(cwd)).toEqual(['bench.yaml', 'device.mjs', 'short.yaml']);
  });

  it('shows what the operator is asked', async () => {
    const cwd = emptyFolder();
    const asks = SHORT.replace('steps:\n', 'steps:\n  - ask: Is the volume at its mark?\n');
    put(cwd, { 'asks.yaml': asks, 'bench.yaml': programBench('practice'), 'device.mjs': device() });
    const args = ['run', 'asks.yaml', '--bench', 'bench.yaml'];
    // How many answers the checklist wants, so that none is left over for the question.
    const rehearsed = await ohmest([...args, '--unit', 'U', '--db', 'other.db', '--json'], {
      cwd,
      input: `Ada\n${'y\n'.repeat(50)}`,
    });
    const { checklist } = JSON.parse(rehearsed.stdout);
    const answers = `Ada\n${'y\n'.repeat(checklist.length)}`;
    const run = await followed(args, cwd);
    run.child.stdin!.write(answers);
    await until('the question is shown', () => run.told.state.view?.question != null, 60_000);
    expect(run.told.state.view!.question).toMatch(/Connect 8 ohm|volume/);
    await run.stop();
    expect((await run.ended).status).toBe(130);
  });

  it('of a run that is over has told its last reading, and a viewer that broke off cost nothing', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'short.yaml': SHORT, 'bench.yaml': programBench('no'), 'device.mjs': device() });
    const run = await followed(['run', 'short.yaml', '--bench', 'bench.yaml', '--json'], cwd);
    const rude = connect(run.port, '127.0.0.1');
    const path = new URL(`${run.base}/changes`).pathname;
    rude.write(`GET ${path} HTTP/1.1\r\nHost: 127.0.0.1:${run.port}\r\nCookie: ${run.cookie}\r\n\r\n`);
    await once(rude, 'data');
    rude.resetAndDestroy();
    const ended = await run.ended;
    expect(ended.status).toBe(0);
    await until('the end is told', () => run.told.over);
    const { readings } = JSON.parse(ended.stdout);
    const { power_W, voltage_V, thdn_percent } = readings.at(-1);
    expect(run.told.state.view).toMatchObject({
      state: 'completed',
      latest: [{ power_W, voltage_V, thdn_percent }],
    });
  });

  it('follows a resumed run as well', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'long.yaml': LONG, 'bench.yaml': programBench('no'), 'device.mjs': device(13) });
    expect((await ohmest(['run', 'long.yaml', '--bench', 'bench.yaml', '--unit', 'U'], { cwd })).status).toBe(
      4,
    );
    put(cwd, { 'device.mjs': device() });
    const { child, ended } = start(
      ['resume', '1', '--bench', 'bench.yaml', '--live', '--db', join(cwd, 'ohmest.db')],
      { cwd },
    );
    let said = '';
    child.stderr!.on('data', (text: string) => {
      said += text;
    });
    await until('the address is printed', () => /^live page: http/m.test(said), 60_000);
    child.kill('SIGINT');
    expect((await ended).status).toBe(130);
  });
});
