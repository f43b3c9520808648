/**
 * Whether every tag of an XML text is closed in turn, every attribute quoted, and no stray `<` or `&` stands
 * between them. Knows no comments, CDATA or declarations: our drawings have none.
 */
export function isWellFormed(xml: string): boolean {
  const tag = /<(\/?)([a-zA-Z][\w:-]*)((?:\s+[\w:-]+="[^"<]*")*)\s*(\/?)>/y;
  const open: string[] = [];
  for (let at = 0; at < xml.length; ) {
    if (xml[at] !== '<') {
      const end = xml.indexOf('<', at);
      const text = xml.slice(at, end < 0 ? xml.length : end);
      if (/&(?!(amp|lt|gt|quot|#39);)/.test(text)) return false;
      at += text.length;
      continue;
    }
    tag.lastIndex = at;
    const found = tag.exec(xml);
    if (found === null) return false;
    const [all, closing, name, , empty] = found;
    if (closing && open.pop() !== name) return false;
    if (!closing && !empty) open.push(name!);
    at += all.length;
  }
  return open.length === 0;
}
