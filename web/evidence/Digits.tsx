/** A long number in hexadecimal, in groups of four, for whoever compares it by eye. */
export function Digits({ of }: { of: string }) {
  const groups = of.replaceAll(' ', '').match(/.{1,4}/g) ?? [];
  return (
    <code class="digits">
      {groups.map((group, place) => (
        <span key={place}>{group}</span>
      ))}
    </code>
  );
}
