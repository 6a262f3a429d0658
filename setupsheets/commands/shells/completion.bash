# bash: eval "$(setupsheets completion bash)"
_setupsheets() {
    local IFS=$'\n'
    COMPREPLY=($(_SETUPSHEETS_COMPLETE=bash command setupsheets "${COMP_LINE:0:COMP_POINT}" 2>/dev/null))
    if [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]]; then
        compopt -o nospace
    fi
}
complete -o default -F _setupsheets setupsheets
