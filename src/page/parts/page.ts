import { createContext } from 'preact';
import { type App, hashOf, type Route } from '../app.js';

/** The page that a view is part of. */
export const Page = createContext<App>(undefined as unknown as App);

/** Goes to a screen, by way of the address, so that Back leads back here. */
export function goTo(route: Route): void {
  location.hash = hashOf(route);
}
