/** What a page of another origin tries, given the whole address of the live page but for its token. */
export const ATTACK = `async (base) => {
  const tried = {};
  const read = async (name, options) => {
    try {
      const answer = await fetch(base + (options?.method ? '/stop' : '/'), { credentials: 'include', ...options });
      tried[name] = answer.type === 'opaque' ? 'opaque' : 'read ' + (await answer.text()).slice(0, 40);
    } catch (error) {
      tried[name] = 'refused';
    }
  };
  await read('fetch');
  await read('fetch without cors', { mode: 'no-cors' });
  await read('post', { method: 'POST', headers: { 'X-Ohmest-Token': '0' } });
  await read('post without cors', { method: 'POST', mode: 'no-cors', body: 'x' });
  tried.events = await new Promise((done) => {
    const source = new EventSource(base + '/changes', { withCredentials: true });
    source.onopen = () => done('read');
    source.onerror = () => { source.close(); done('refused'); };
  });
  tried.image = await new Promise((done) => {
    const image = new Image();
    image.onload = () => done('read');
    image.onerror = () => done('refused');
    image.src = base + '/';
  });
  tried.script = await new Promise((done) => {
    const script = document.createElement('script');
    script.onload = () => done('read');
    script.onerror = () => done('refused');
    script.src = base + '/code/view/live/client/live.js';
    document.head.append(script);
  });
  const frame = document.createElement('iframe');
  frame.name = 'inside';
  const loaded = new Promise((done) => frame.addEventListener('load', done));
  frame.src = base + '/';
  document.body.append(frame);
  await loaded;
  const form = Object.assign(document.createElement('form'), { method: 'POST', action: base + '/stop', target: 'inside' });
  document.body.append(form);
  const posted = new Promise((done) => frame.addEventListener('load', done, { once: true }));
  form.submit();
  await posted;
  return tried;
}`;
