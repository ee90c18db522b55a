"""Django's compilers, those of questions answered from memory where nothing was written since."""

from django.db.models.sql import compiler

from breeding.program.unchanged.compiler import AnswersFromMemory

SQLDeleteCompiler = compiler.SQLDeleteCompiler
SQLInsertCompiler = compiler.SQLInsertCompiler
SQLUpdateCompiler = compiler.SQLUpdateCompiler


class SQLCompiler(AnswersFromMemory, compiler.SQLCompiler):
    pass


class SQLAggregateCompiler(AnswersFromMemory, compiler.SQLAggregateCompiler):
    pass
