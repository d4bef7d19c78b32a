from shoplog.cli import main

main()
