declare const FOOTROOM_VERSION: string | undefined;

/** The version in package.json, put in by the build; a run from source has none. */
export const version: string = typeof FOOTROOM_VERSION === 'string' ? FOOTROOM_VERSION : 'unbuilt';
