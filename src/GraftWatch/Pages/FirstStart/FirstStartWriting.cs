using System.Text;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Settings;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Pages.FirstStart;

/// <summary>Writes what was answered: password file, store, and last of all the settings, which are there whole or not at all and replace nothing.</summary>
internal sealed class FirstStartWriting(FirstStartPlan plan)
{
    private const string PasswordName = "mail-password";

    /// <summary>Where the settings will stand.</summary>
    internal string SettingsPath => Path.Combine(plan.Folder, SettingsLoader.InstallationName);

    /// <summary>Writes; gives what kept it from being written, or nothing.</summary>
    /// <param name="draft">The answers.</param>
    /// <param name="session">Token of the browser that answered; it is signed in as the operator afterwards.</param>
    /// <param name="now">The instant.</param>
    internal async Task<IReadOnlyList<string>> WriteAsync(FirstStartDraft draft, string session, Instant now)
    {
        string? password = null;
        try
        {
            Directory.CreateDirectory(plan.Folder);
            if (File.Exists(SettingsPath))
            {
                return [$"{SettingsPath} is there already; it is not touched. Start graftwatch serve again."];
            }

            password = draft.Password.Length > 0 ? await WritePasswordAsync(draft.Password).ConfigureAwait(false) : null;
            byte[] text = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false).GetBytes(FirstSettings.Write(draft, plan, password));
            Loaded<GraftWatchSettings> read = SettingsLoader.ReadGraftWatch(SourceText.FromMemory(SettingsLoader.InstallationName, text), plan.Folder);
            if (!read.IsValid)
            {
                return Undone(password, [.. read.Faults.Select(fault => fault.ToString())]);
            }

            await FillStoreAsync(draft, read.Value, session, now).ConfigureAwait(false);
            await PutInPlaceAsync(text).ConfigureAwait(false);
            return [];
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or StoreRefusedException)
        {
            return Undone(password, [trouble.Message]);
        }
    }

    private static string[] Undone(string? password, string[] faults)
    {
        if (password is not null)
        {
            File.Delete(password);
        }

        return faults;
    }

    // Readable by its owner alone from its first byte on; a file of that name that is there already is somebody's and stays.
    private async Task<string> WritePasswordAsync(string password)
    {
        for (int number = 1; ; number++)
        {
            string path = Path.Combine(plan.Folder, number == 1 ? PasswordName : string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{PasswordName}-{number}"));
            var how = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
            if (!OperatingSystem.IsWindows())
            {
                how.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
            }

            try
            {
                var file = new FileStream(path, how);
                await using (file.ConfigureAwait(false))
                {
                    await file.WriteAsync(Encoding.UTF8.GetBytes(password + "\n")).ConfigureAwait(false);
                    file.Flush(flushToDisk: true);
                }

                return path;
            }
            catch (IOException) when (File.Exists(path) && number < 100)
            {
                // The next number.
            }
        }
    }

    private async Task PutInPlaceAsync(byte[] text)
    {
        string beside = Path.Combine(plan.Folder, "." + SettingsLoader.InstallationName + "." + Convert.ToHexStringLower(System.Security.Cryptography.RandomNumberGenerator.GetBytes(4)));
        try
        {
            var file = new FileStream(beside, FileMode.CreateNew, FileAccess.Write);
            await using (file.ConfigureAwait(false))
            {
                await file.WriteAsync(text).ConfigureAwait(false);
                file.Flush(flushToDisk: true);
            }

            File.Move(beside, SettingsPath, overwrite: false);
        }
        finally
        {
            File.Delete(beside);
        }
    }

    private async Task FillStoreAsync(FirstStartDraft draft, GraftWatchSettings installation, string session, Instant now)
    {
        string path = ServeSettings.StorePath(installation);
        using StoreLock held = StoreLock.Take(path);
        SqliteStore store = await SqliteStore.OpenAsync(path, new SqliteStoreOptions { Clock = plan.Clock }, CancellationToken.None).ConfigureAwait(false);
        await using (store.ConfigureAwait(false))
        {
            if (draft.Grafts.Count > 0)
            {
                await store.Keeper.ImportGraftsAsync(draft.Grower!.Name, draft.Grafts, CancellationToken.None).ConfigureAwait(false);
            }

            await SignInAsync(store, draft.Grower!.Address, session, now).ConfigureAwait(false);
        }
    }

    // Who could read the code runs this machine; the browser goes on as the operator without a mail. The link is used up at once, its mail never leaves.
    private static async Task SignInAsync(SqliteStore store, string address, string session, Instant now)
    {
        byte[] link = Tokens.Hash(Tokens.Fresh());
        var mail = new PageMail(0, address, Convert.ToHexStringLower(link) + "@first-start.invalid", "first start", "first start"u8.ToArray(), now, now);
        await store.People.OfferAsync(new EntryLink(link, address, EntryPurpose.SignIn, string.Empty, now, now + Duration.FromMinutes(1)), mail, 1000, Duration.FromHours(1), CancellationToken.None).ConfigureAwait(false);
        foreach (PageMail waiting in await store.PageMails.TakeDueAsync(now, Duration.FromMinutes(1), 1000, CancellationToken.None).ConfigureAwait(false))
        {
            if (waiting.MessageId == mail.MessageId)
            {
                await store.PageMails.RecordAsync(waiting.Id, new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, "used at the first start"), null, CancellationToken.None).ConfigureAwait(false);
            }
        }

        await store.People.EnterAsync(link, Tokens.Hash(session), "first start", now, CancellationToken.None).ConfigureAwait(false);
    }
}
