/** Titles by place; those that are alike are numbered among themselves: `8 ohm (2 of 3)`. */
export function numbered(titles: readonly string[]): string[] {
  return titles.map((title, i) => {
    const alike = titles.filter((one) => one === title).length;
    const place = titles.slice(0, i + 1).filter((one) => one === title).length;
    return alike === 1 ? title : `${title} (${place} of ${alike})`;
  });
}
