"""Lessons: self-check questions with numbers drawn anew, their answers, and the wrong ideas behind wrong answers.

`draw` draws, `question` says what a question is, `mark` judges an answer, `lessons` lists which question belongs to which
lesson. The modules named after a topic hold the questions themselves. `practice` is an engine with hidden faults.
"""
