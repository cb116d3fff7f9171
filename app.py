"""``streamlit run app.py`` opens the dashboard; ``weldref dashboard`` does so with its theme."""

from weldref.dashboard.page import main

if __name__ == "__main__":
    main()
