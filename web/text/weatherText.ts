import { weather } from './en/weather.ts';

/** The sentences about the weather to come. They are fetched with its page: the first look is small. */
export const weatherText = weather;
