/** The scripts with which shells complete. What fits at a place the program says itself; a script only asks and shows. */
import { ASKED_AS } from '../command.js';

/** The shells that can be served. */
export const SHELLS = ['bash', 'zsh', 'fish'] as const;
export type ShellName = (typeof SHELLS)[number];

// The answer is read line by line and never as shell code: a line is a word, or a word, a tab and what it means. The first
// line says what the shell adds of its own: files, folders or nothing.

const BASH = String.raw`# keywright for bash. Use it now:    source <(keywright completion bash)
# Use it always: keywright completion bash > ~/.local/share/bash-completion/completions/keywright
_keywright() {
  local own='' word
  COMPREPLY=()
  while IFS=$'\t' read -r word _; do
    if [[ -z $own ]]; then own=$word; else COMPREPLY+=("$word"); fi
  done < <(command keywright ${ASKED_AS} bash "${'$'}{COMP_WORDS[@]:1:COMP_CWORD-1}" "$2" 2>/dev/null </dev/null)
  case $own in
    folders) compopt -o dirnames ;;
    files)
      # Where no key fits, bash completes files itself; beside keys they are asked for.
      compopt -o default -o filenames
      ((${'$'}{#COMPREPLY[@]} > 0)) && while IFS= read -r word; do COMPREPLY+=("$word"); done < <(compgen -f -- "$2")
      ;;
  esac 2>/dev/null
}
complete -F _keywright keywright
`;

const ZSH = String.raw`#compdef keywright
# keywright for zsh. Use it now:    source <(keywright completion zsh)
# Use it always: keywright completion zsh > ~/.zfunc/_keywright, with fpath+=~/.zfunc before compinit
_keywright() {
  local own word help
  local -a found shown
  while IFS=$'\t' read -r word help; do
    if [[ -z $own ]]; then own=$word; continue; fi
    found+=("$word")
    shown+=("$word${'$'}{help:+  -- $help}")
  done < <(command keywright ${ASKED_AS} zsh "${'$'}{(@Q)words[2,CURRENT-1]}" "${'$'}{(Q)PREFIX}" 2>/dev/null </dev/null)
  (($#found)) && compadd -l -d shown -a found
  [[ $own != nothing && $PREFIX == --*=* ]] && compset -P 1 '*='
  case $own in
    folders) _files -/ ;;
    files) _files ;;
  esac
}
# Loaded by compinit as a function it is called at once; sourced it is registered.
if [[ $funcstack[1] == _keywright ]]; then
  _keywright "$@"
elif (($+functions[compdef])); then
  compdef _keywright keywright
fi
`;

const FISH = String.raw`# keywright for fish. Use it now:    keywright completion fish | source
# Use it always: keywright completion fish > ~/.config/fish/completions/keywright.fish
function __keywright_fits
    set -l before (commandline -opc)
    set -e before[1]
    set -l now (commandline -ct | string unescape; or commandline -ct)
    set -l fits (command keywright ${ASKED_AS} fish $before "$now" 2>/dev/null </dev/null)
    set -l own "$fits[1]"
    set -e fits[1]
    # In --name=value fish wants the name again before each value.
    set -l name (string match -r -- '^--[^=]+=' "$now")
    set -l value (string replace -r -- '^--[^=]+=' '' "$now")
    switch $own
        case files
            set -a fits "$name"(__fish_complete_path "$value")
        case folders
            set -a fits "$name"(__fish_complete_directories "$value" '')
    end
    string join -- \n $fits
end
complete -c keywright -f -a '(__keywright_fits)'
`;

/** The script for each shell. */
export const SCRIPTS: Readonly<Record<ShellName, string>> = { bash: BASH, zsh: ZSH, fish: FISH };
