/** Words that would clear a find. "Harmless" may stand only where it is said that nothing shows it. */
export const CLEARING =
  /\b(safe|safely|edible|eatable|inedible|non-?toxic|non-?poisonous|delicious|tasty|palatable|wholesome|(?:not|isn't) (?:poisonous|toxic|harmful|deadly)|(?:can|may) be eaten|good to eat|fit to eat|ok(?:ay)? to eat)\b|(?<!from |never as |not mean that it is )\bharmless\b/i;
