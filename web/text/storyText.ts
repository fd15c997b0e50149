import { titleOf } from './en/findingTitles.ts';
import { story } from './en/story.ts';

/** The sentences of a joint's story. They are fetched with the pages that tell it. */
export const storyText = { ...story, finding: titleOf };
