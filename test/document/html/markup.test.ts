import fc from 'fast-check';
import { expect, test } from 'vitest';
import { escapeHtml, html } from '../../../src/document/html/markup.js';

test('inserted text is escaped, markup and lists of markup are not', () => {
  const inner = html`<b>${'<i>'}</b>`;
  expect(html`<p title="${`"'`}">${inner}${[inner, '&']}</p>`.text).toBe(
    '<p title="&quot;&#39;"><b>&lt;i&gt;</b><b>&lt;i&gt;</b>&amp;</p>',
  );
});

test('null and false leave nothing, zero is printed', () => {
  expect(html`[${null}${false}${0}]`.text).toBe('[0]');
});

test('no text can open a tag, close a quote or start an entity of its own', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary' }), (text) => {
      const escaped = escapeHtml(text);
      expect(escaped).not.toMatch(/[<>"']/);
      expect(escaped.replace(/&(amp|lt|gt|quot|#39);/g, '')).not.toContain('&');
    }),
    { seed: 7 },
  );
});
