import { createContext } from 'preact';
import { type App, hashOf, type Route, routeOf } from '../app.js';

/** The page that a view is part of. */
export const Page = createContext<App>(undefined as unknown as App);

/** Goes to a screen, by way of the address, so that Back leads back here. */
export function goTo(route: Route): void {
  if (hashOf(route) === hashOf(routeOf(location.hash))) return;
  history.pushState(undefined, '', hashOf(route));
  // A browser that changes the address by itself says so some frames later.
  dispatchEvent(new Event('hashchange'));
}
