"""The file that Streamlit runs, again for each change; the page itself is imported once."""

from weldref.dashboard.page import main

if __name__ == "__main__":
    main()
