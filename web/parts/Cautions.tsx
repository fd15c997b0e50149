import { Icon } from './Icon.tsx';
import '../style/fields.css';

/** What may hurt somebody, before the work and not in small print. */
export function Cautions({ title, cautions }: { title: string; cautions: readonly string[] }) {
  return (
    <div class="cautions">
      <p class="cautions-title">
        <Icon name="warning" />
        {title}
      </p>
      <ul>
        {cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </div>
  );
}
