using GraftWatch.Records.Engine;

namespace GraftWatch.Crash.Lives;

/// <summary>Puts points inside the store's transactions: temporary triggers on the writer's own connection that call back here, and the hook before a commit.</summary>
/// <remarks>Temporary triggers live in the connection and leave nothing in the file.</remarks>
internal static class StoreTriggers
{
    private static readonly (string Event, string Name)[] Moments =
    [
        ("AFTER INSERT ON letter", "the letter is in"),
        ("AFTER UPDATE OF last_number ON grower", "the number is counted"),
        ("AFTER INSERT ON said", "a said line is in"),
        ("AFTER UPDATE ON said", "a said line is in"),
        ("AFTER UPDATE OF claim_epoch ON letter", "the claim is in"),
        ("AFTER UPDATE OF started_at ON letter WHEN NEW.started_at IS NOT NULL", "the start is in"),
        ("AFTER INSERT ON letter_try", "the try is in"),
        ("AFTER UPDATE OF state ON letter", "the state is in"),
        ("AFTER INSERT ON observation", "an observation is in"),
        ("AFTER INSERT ON graft", "a graft is in"),
        ("AFTER DELETE ON graft", "a graft is out"),
        ("AFTER INSERT ON answer_graft", "an answer is in"),
        ("AFTER INSERT ON store_note", "a store note is in"),
        ("AFTER UPDATE ON store_note", "a store note is in"),
    ];

    internal static Task InstallAsync(SqliteEngine engine) => engine.AloneAsync(
        connection =>
        {
            string last = "anything else";
            connection.CreateFunction("point", (string name) =>
            {
                last = name;
                KillSwitch.Here("inside: " + name);
                return 0;
            });
            for (int i = 0; i < Moments.Length; i++)
            {
                (string when, string name) = Moments[i];
                string table = when.Split(" ON ")[1].Split(' ')[0];
                if (SqliteFiles.Number(connection, $"SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = '{table}'") == 1)
                {
                    SqliteFiles.Execute(connection, $"CREATE TEMP TRIGGER point_{i} {when} BEGIN SELECT point('{name}'); END;");
                }
            }

            SQLitePCL.raw.sqlite3_commit_hook(
                connection.Handle,
                _ =>
                {
                    string ending = last;
                    last = "anything else";
                    KillSwitch.Here("inside: before the commit after " + ending);
                    return 0;
                },
                null);
            return true;
        },
        CancellationToken.None);
}
