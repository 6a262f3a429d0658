# zsh, after compinit: eval "$(setupsheets completion zsh)"
_setupsheets() {
    local line
    local -a whole open
    while IFS= read -r line; do
        if [[ $line == *= ]]; then open+=("$line"); else whole+=("$line"); fi
    done < <(_SETUPSHEETS_COMPLETE=zsh command setupsheets "${(j: :)words[1,CURRENT]}" 2>/dev/null)
    if (( $#whole + $#open == 0 )); then
        _files
        return
    fi
    (( $#whole )) && compadd -- "${whole[@]}"
    (( $#open )) && compadd -S '' -- "${open[@]}"
    return 0
}
compdef _setupsheets setupsheets
