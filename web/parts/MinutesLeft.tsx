const two = (value: number) => String(value).padStart(2, '0');

/** `24:10` or `1:04:10`: large, and in figures that keep their place while they run. */
export function MinutesLeft({ leftMs }: { leftMs: number }) {
  const seconds = Math.ceil(leftMs / 1000);
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor(seconds / 60) % 60;
  return (
    <b class="countdown-left">
      {hours > 0 ? `${hours}:${two(minutes)}` : minutes}:{two(seconds % 60)}
    </b>
  );
}
