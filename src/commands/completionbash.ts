import { type CommandWords, type Kind, type OptionWords, SED_IDS } from './completionwords.js';

/** The completion of the program for bash. */
export function bashCompletion(commands: readonly CommandWords[], program: readonly OptionWords[]): string {
  return `# keywright for bash. Use it now:    source <(keywright completion bash)
# Use it always: keywright completion bash > ~/.local/share/bash-completion/completions/keywright

# The ids of the keys in ./keys and in the folders of --keys.
_keywright_keys() {
  local folder file
  for folder in keys "\${folders[@]}"; do
    for file in "$folder"/*.key.yaml; do
      [[ -f $file ]] && ${SED_IDS} "$file"
    done
  done 2>/dev/null
}

# Offers what can stand here: words, files, folders or keys.
_keywright_offer() {
  local kind=$1 line
  shift
  case $kind in
    words) COMPREPLY=($(compgen -W "$*" -- "$cur")) ;;
    folder|file|key)
      local action=-f
      [[ $kind == folder ]] && action=-d
      compopt -o filenames 2>/dev/null
      COMPREPLY=()
      [[ $kind == key ]] && COMPREPLY=($(compgen -W "$(_keywright_keys)" -- "$cur"))
      while IFS= read -r line; do COMPREPLY+=("$line"); done < <(compgen "$action" -- "$cur")
      ;;
  esac
}

_keywright() {
  local cur=\${COMP_WORDS[COMP_CWORD]} command='' option='' operands=0 i word
  local folders=()
  COMPREPLY=()
  [[ $cur == = ]] && cur=''
  # What stands before the cursor: the command, the operands, and an option that waits for its value.
  for ((i = 1; i < COMP_CWORD; i++)); do
    word=\${COMP_WORDS[i]}
    if [[ -n $option ]]; then
      [[ $word == = ]] && continue
      [[ $option == --keys ]] && folders+=("$word")
      option=''
    elif [[ $word == -* ]]; then
      case $command/$word in
        ${valued(commands)}) option=$word ;;
      esac
    elif [[ -z $command ]]; then
      command=$word
    else
      ((operands++))
    fi
  done
  if [[ -n $option ]]; then
    case $command/$option in
${values(commands)}
    esac
    return
  fi
  if [[ $cur == -* ]]; then
    case $command in
      '') _keywright_offer words ${names(program)} ;;
${commands.map((c) => `      ${c.name}) _keywright_offer words ${names(c.options)} ;;`).join('\n')}
    esac
    return
  fi
  case $command/$operands in
    /*) _keywright_offer words ${commands.map((c) => c.name).join(' ')} ;;
${commands.flatMap(operandLines).join('\n')}
  esac
}

complete -F _keywright keywright
`;
}

function names(options: readonly OptionWords[]): string {
  return options.flatMap((o) => o.names).join(' ') || "''";
}

/** The patterns of options that are followed by a value. */
function valued(commands: readonly CommandWords[]): string {
  const patterns = commands.flatMap((c) =>
    c.options.filter((o) => o.value !== undefined).flatMap((o) => o.names.map((n) => `${c.name}/${n}`)),
  );
  return patterns.join('|');
}

function values(commands: readonly CommandWords[]): string {
  return commands
    .flatMap((c) =>
      c.options.flatMap(({ names, value }) =>
        value === undefined || value.what === 'free'
          ? []
          : [`      ${names.map((n) => `${c.name}/${n}`).join('|')}) ${offer(value)} ;;`],
      ),
    )
    .join('\n');
}

function operandLines({ name, operands, repeats }: CommandWords): string[] {
  return operands.map((kind, i) => {
    const last = repeats && i === operands.length - 1;
    return `    ${name}/${last ? '*' : i}) ${offer(kind)} ;;`;
  });
}

function offer(kind: Kind): string {
  return kind.what === 'words'
    ? `_keywright_offer words ${kind.words.join(' ')}`
    : `_keywright_offer ${kind.what}`;
}
