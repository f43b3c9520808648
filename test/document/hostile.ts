/** Texts that a run may carry from a stranger's file, each meant to break out of where it is shown. */
export const HOSTILE = {
  script: `</title></style></script><script>alert(1)</script>`,
  attribute: `" onmouseover="alert(1)" x="' onload='alert(2)`,
  entity: '&lt;img src=x onerror=alert(1)&gt; &amp; &#60;',
  rightToLeft: '\u202eunit \u05d0\u05d1\u05d2 \u2067mixed',
  terminal: '\u001b[2J\u001b]0;title\u0007\u009b31mred',
  long: `<b>${'w'.repeat(10_000)}`,
} as const;
