/**
 * Types of the validators that `schemas/compile.mjs` makes from the JSON Schemas. The compiler copies no such file beside the
 * types of the library, so nothing that the library exports may be typed by it: `validator.ts` has what they need.
 */
import type { Validator } from './validator.js';

export const validateKey: Validator;
export const validateTerms: Validator;
export const validateCollections: Validator;
export const validateTaxa: Validator;
export const validateRecord: Validator;
export const validateCorrespondences: Validator;
export const validateLintConfig: Validator;
export const validateLintBaseline: Validator;

/** The schemas themselves, by file name (`key.schema.json`). */
export const schemas: Readonly<Record<string, unknown>>;
