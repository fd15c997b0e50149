/** A number as people type it, with a point or a comma; null: it is none. */
export function numberOf(typed: string): number | null {
  const plain = typed.trim().replace(',', '.').replace('−', '-');
  return /^-?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** Numbers with blanks, semicolons or line ends between them; null: one of them is none. */
export function numbersOf(typed: string): number[] | null {
  const numbers = typed
    .split(/[\s;]+/)
    .filter((part) => part !== '')
    .map((part) => numberOf(part.replace(/,$/, '')));
  return numbers.some((number) => number === null) ? null : numbers.filter((number) => number !== null);
}

/** A length as read off a stick: `24`, `24.5`, `24 3/16` or `3/16`; null: it is none. */
export function lengthOf(typed: string): number | null {
  const parts = /^(-?)(?:(\d+)[\s-]+)?(\d+)\s*\/\s*([1-9]\d*)$/.exec(typed.trim().replace('−', '-').replace(/["″]$/, '').trim());
  if (parts === null) return numberOf(typed.trim().replace(/["″]$/, ''));
  const [, sign, whole = '0', over = '0', under = '1'] = parts;
  const size = Number(whole) + Number(over) / Number(under);
  return sign === '-' ? -size : size;
}
