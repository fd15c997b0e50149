// The content security policy forbids code made from strings, and the schema library would try it once and be reported. It reads this
// when it is first fetched, with one of the pages that need it; its own function for it would come with every page.
Object.assign(globalThis, { __zod_globalConfig: { jitless: true } });
