# fish: setupsheets completion fish | source
function __setupsheets_complete
    set -l line (commandline -cp | string collect)
    set -l found (_SETUPSHEETS_COMPLETE=fish command setupsheets $line 2>/dev/null)
    if test (count $found) -gt 0
        printf '%s\n' $found
    else
        __fish_complete_path (commandline -ct)
    end
end
complete --command setupsheets --no-files --arguments '(__setupsheets_complete)'
